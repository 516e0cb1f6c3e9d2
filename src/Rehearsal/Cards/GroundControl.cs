using System.Globalization;
using System.Text;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>Writes what a person brings from the targets: surveyed coordinates, and where they clicked them in pictures.</summary>
internal static class GroundControl
{
    public const string Folder = "ground-control";

    private const double HorizontalSigmaMetres = 0.015;
    private const double HeightSigmaMetres = 0.025;
    private const double ClickSigmaPixels = 0.35;
    private const int ClickedBand = 4;
    private const int MostClicksOfTarget = 8;

    /// <summary>points.csv in the estate's UTM zone with heights above the ellipsoid, marks.csv in pixels (first corner 0, 0).</summary>
    public static void Write(
        RehearsedEstate estate,
        TerrainPosts terrain,
        CardFlightSettings settings,
        IReadOnlyList<PoseTruth> captures,
        string cardFolder
    )
    {
        string folder = Path.Combine(cardFolder, Folder);
        Directory.CreateDirectory(folder);
        SplittableRandom surveyor = new SplittableRandom(estate.Settings.Seed).Split("surveyor");
        SplittableRandom clicks = new SplittableRandom(estate.Settings.Seed).Split("clicks " + settings.FlightId);
        StringBuilder points = new("id,easting,northing,height,sigma_horizontal,sigma_height\n");
        StringBuilder marks = new("id,file,page,band,column,row,sigma_pixels\n");
        RigLens lens = estate.Rig.Coarser(settings.PixelEdge).Lenses[ClickedBand];
        foreach (ControlTarget target in estate.Targets)
        {
            Vector3D at = new(
                target.EastMetres,
                target.NorthMetres,
                terrain.HeightAt(target.EastMetres, target.NorthMetres)
            );
            GridPoint map = estate.Place.ToMap(at);
            double height = estate.Place.ToGeodetic(at).HeightAboveEllipsoidMetres;
            points.AppendLine(
                CultureInfo.InvariantCulture,
                $"{target.Name},{map.EastingMetres + (HorizontalSigmaMetres * surveyor.NextGaussian()):0.000},{map.NorthingMetres + (HorizontalSigmaMetres * surveyor.NextGaussian()):0.000},{height + (HeightSigmaMetres * surveyor.NextGaussian()):0.000},{HorizontalSigmaMetres},{HeightSigmaMetres}"
            );
            foreach (PoseTruth capture in Best(captures, at))
            {
                PixelPoint pixel = lens.Project(capture.Pose, at);
                double column = pixel.Column + (ClickSigmaPixels * clicks.NextGaussian());
                double row = pixel.Row + (ClickSigmaPixels * clicks.NextGaussian());
                if (
                    !(
                        pixel.Column > 20
                        && pixel.Column < settings.Columns - 20
                        && pixel.Row > 20
                        && pixel.Row < settings.Rows - 20
                    )
                )
                {
                    continue;
                }

                IReadOnlyList<string> files = settings.Dialect.FilesOf(capture.Number);
                bool pages = files.Count == 1;
                marks.AppendLine(
                    CultureInfo.InvariantCulture,
                    $"{target.Name},{files[pages ? 0 : ClickedBand]},{(pages ? ClickedBand : 0)},{RigBand.Five[ClickedBand].Name},{column:0.00},{row:0.00},{ClickSigmaPixels}"
                );
            }
        }

        File.WriteAllText(Path.Combine(folder, "points.csv"), points.ToString());
        File.WriteAllText(Path.Combine(folder, "marks.csv"), marks.ToString());
    }

    /// <summary>The captures nearest above a target: a person clicks where it is seen best.</summary>
    private static IEnumerable<PoseTruth> Best(IReadOnlyList<PoseTruth> captures, Vector3D at) =>
        captures
            .Where(capture => !capture.IsPanel)
            .OrderBy(capture =>
                Math.Pow(capture.PositionLocalMetres[0] - at.X, 2) + Math.Pow(capture.PositionLocalMetres[1] - at.Y, 2)
            )
            .Take(MostClicksOfTarget)
            .OrderBy(capture => capture.Number);
}
