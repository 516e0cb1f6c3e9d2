using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Reconstruction;

namespace Hillrow.Checks;

/// <summary>
/// Real pictures from a kite over farmland, without positions, with a few loosely surveyed points
/// (../shared/opendata/kite-farmland, its PROVENANCE.md).
/// </summary>
public sealed class KiteFlight
{
    private const int Rows = 3456;
    private const int Columns = 4608;

    /// <summary>The files tell 5 mm and 17,791.5 pixels to the inch of the sensor.</summary>
    private const double FocalPixels = 5.0 / 25.4 * 17791.5;

    /// <summary>The points were read off a map of terrain and old aerial pictures.</summary>
    private const double PlanSigma = 0.5;
    private const double HeightSigma = 1.0;
    private const double MarkSigmaPixels = 3;

    private readonly string folder;

    public KiteFlight(string folder)
    {
        this.folder = folder;
        Captures =
        [
            .. Directory
                .EnumerateFiles(Path.Combine(folder, "images"), "*.jpg")
                .Order(StringComparer.Ordinal)
                .Select(Path.GetFileName)
                .Select(file => new Capture
                {
                    Id = Path.GetFileNameWithoutExtension(file)!,
                    Frames = [new BandFrame { Band = "green", File = file! }],
                }),
        ];
        (Points, Marks) = Read();
    }

    public IReadOnlyList<Capture> Captures { get; }

    public IReadOnlyList<ControlPoint> Points { get; }

    public IReadOnlyList<ControlMark> Marks { get; }

    /// <summary>Points that two pictures or more show.</summary>
    public IReadOnlyList<string> Judging =>
        [.. Points.Select(point => point.Id).Where(id => Marks.Count(mark => mark.PointId == id) >= 2)];

    public static CameraProfile Profile { get; } =
        new()
        {
            Name = "camera of the kite",
            ReferenceBandName = "green",
            ShortestTriggerIntervalSeconds = 1,
            Bands =
            [
                new CameraBand
                {
                    Name = "green",
                    CentreNanometres = 550,
                    WidthNanometres = 100,
                    Sensor = new BandSensor(Columns, Rows, 1.43, 8),
                    Lens = new BrownConradyLens(
                        Rows,
                        Columns,
                        new BrownConradyValues(FocalPixels, FocalPixels, new PixelPoint(Columns / 2.0, Rows / 2.0))
                    ),
                    Mount = CameraMount.Reference,
                },
            ],
        };

    /// <param name="leftOut">A point to judge by instead of to fit to; null fits to all.</param>
    public ReconstructionInput Input(string? leftOut) =>
        new(Captures, Profile, FlatTerrain(), ReadGreen, ReferenceSystem.UtmAt(Place(Points[0])))
        {
            Control = new GroundControl(
                [.. Points.Select(point => point with { IsCheckpoint = point.Id == leftOut })],
                Marks
            ),
        };

    public void ReadGreen(Capture capture, BandFrame frame, Span<ushort> counts)
    {
        ArgumentNullException.ThrowIfNull(frame);
        Picture picture = PictureReader.Read(Path.Combine(folder, "images", frame.File));
        picture.Counts(1).CopyTo(counts);
    }

    private (IReadOnlyList<ControlPoint>, IReadOnlyList<ControlMark>) Read()
    {
        ReferenceSystem poland = ReferenceSystem.Find(2180)!;
        Dictionary<string, ControlPoint> points = [];
        List<ControlMark> marks = [];
        foreach (string line in File.ReadLines(Path.Combine(folder, "control_points.csv")).Skip(1))
        {
            string[] cells = line.Split(',');
            double Number(int cell) => double.Parse(cells[cell], CultureInfo.InvariantCulture);
            GeographicPoint at = poland.ToWgs84(new GridPoint(Number(1), Number(2)));
            points[cells[0]] = new ControlPoint(
                cells[0],
                new GeodeticPosition(
                    at.Latitude,
                    at.Longitude,
                    new Height(Number(3), VerticalReference.Egm96Geoid).EllipsoidalMetres(at, GeoidModel.Egm96)
                ),
                PlanSigma,
                HeightSigma,
                false
            );
            marks.Add(new ControlMark(cells[0], cells[4], 0, new PixelPoint(Number(5), Number(6)), MarkSigmaPixels));
        }

        return ([.. points.Values], marks);
    }

    private static GeographicPoint Place(ControlPoint point) => new(point.Place.Latitude, point.Place.Longitude);

    private Terrain FlatTerrain()
    {
        const int Posts = 60;
        const double Apart = 30;
        ReferenceSystem grid = ReferenceSystem.UtmAt(Place(Points[0]));
        GridPoint middle = grid.ToGrid(Place(Points[0]));
        float level = (float)Points.Average(point => point.Place.HeightAboveEllipsoidMetres);
        float[] heights = new float[Posts * Posts];
        Array.Fill(heights, level);
        return new Terrain([
            new TerrainTile(
                "level ground",
                grid,
                middle.EastingMetres - (Posts / 2 * Apart),
                middle.NorthingMetres + (Posts / 2 * Apart),
                Apart,
                Apart,
                Posts,
                Posts,
                heights,
                VerticalReference.Ellipsoid,
                3
            ),
        ]);
    }
}
