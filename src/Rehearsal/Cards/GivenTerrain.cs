using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>The user's own terrain under the modelled estate.</summary>
internal sealed class GivenTerrain
{
    private readonly Terrain terrain;
    private readonly double datumMetres;

    private GivenTerrain(Terrain terrain, EstatePlace place, double datumMetres)
    {
        this.terrain = terrain;
        this.datumMetres = datumMetres;
        Place = place;
    }

    public EstatePlace Place { get; }

    /// <exception cref="InputProblemException">The file does not cover the extent.</exception>
    public static GivenTerrain Open(RehearsedEstateSettings settings, SceneExtent extent)
    {
        string path = settings.TerrainFile!;
        TerrainTile tile =
            TerrainTiles.Read(path) ?? throw new InputProblemException(path, "holds no heights.", "Name another file.");
        Terrain found = new([tile]);
        GeographicPoint middle = settings is { LatitudeDegrees: { } latitude, LongitudeDegrees: { } longitude }
            ? GeographicPoint.FromDegrees(latitude, longitude)
            : tile.System.ToWgs84(
                tile.FirstEast + (tile.StepEast * (tile.Columns - 1) / 2),
                tile.FirstNorth - (tile.StepNorth * (tile.Rows - 1) / 2)
            );
        if (!found.TryHeightAt(middle, out Height atMiddle))
        {
            throw Uncovered(path);
        }

        double height = atMiddle.Metres;

        double above =
            found.VerticalReference == VerticalReference.Egm96Geoid ? GeoidModel.Egm96.UndulationMetres(middle) : 0;
        EstatePlace place = new(middle.AtHeightAboveEllipsoid(height + above));
        GivenTerrain given = new(found, place, height);
        CheckCovered(given, path, extent);
        return given;
    }

    /// <summary>Holes count as well, and so does a rim around the estate over which lines are flown.</summary>
    private static void CheckCovered(GivenTerrain given, string path, SceneExtent extent)
    {
        const double Rim = 20;
        int across = (int)Math.Ceiling((extent.WidthMetres + (2 * Rim)) / LookMetres);
        int along = (int)Math.Ceiling((extent.LengthMetres + (2 * Rim)) / LookMetres);
        for (int row = 0; row <= along; row++)
        {
            for (int column = 0; column <= across; column++)
            {
                double east = extent.WestMetres - Rim + (column * LookMetres);
                double north = extent.SouthMetres - Rim + (row * LookMetres);
                if (double.IsNaN(given.HeightAt(east, north)))
                {
                    throw Uncovered(path);
                }
            }
        }
    }

    /// <summary>Finer than the posts of any terrain that one would plant on from a file.</summary>
    private const double LookMetres = 1;

    /// <summary>Up coordinate; NaN outside the file.</summary>
    public double HeightAt(double eastMetres, double northMetres)
    {
        GeodeticPosition at = Place.ToGeodetic(new Vector3D(eastMetres, northMetres, 0));
        return terrain.TryHeightAt(new GeographicPoint(at.Latitude, at.Longitude), out Height height)
            ? height.Metres - datumMetres
            : double.NaN;
    }

    private static InputProblemException Uncovered(string path) =>
        new(
            path,
            "does not cover the estate and 20 m around it, or has holes there.",
            "Name a larger or whole file, or another middle with --at LAT,LON."
        );
}
