using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>The terrain tile that a user would have: 30 m posts, heights above EGM96, wrong by metres.</summary>
public static class TerrainDraft
{
    /// <summary>Stated standard error of a height.</summary>
    public const double SigmaMetres = 2.5;

    private const double PostMetres = 30;
    private const double BeyondMetres = 900;

    /// <summary>Writes the tile of a fractal estate; an error of its own that is mostly smooth, as such tiles have.</summary>
    public static void Write(RehearsedEstate estate, string path)
    {
        ArgumentNullException.ThrowIfNull(estate);
        GridPoint middle = estate.Place.ToMap(Vector3D.Zero);
        int cells = (int)(2 * BeyondMetres / PostMetres);
        GridGeometry grid = new(
            estate.Place.Zone.ToReferenceSystem(),
            new GridPoint(
                (Math.Floor(middle.EastingMetres / PostMetres) * PostMetres) - BeyondMetres,
                (Math.Floor(middle.NorthingMetres / PostMetres) * PostMetres) + BeyondMetres
            ),
            PostMetres,
            cells,
            cells
        );
        Func<double, double, double> smooth = HillsideTerrain.Smooth(estate.Model);
        SplittableRandom draw = new SplittableRandom(estate.Settings.Seed).Split("tile");
        double bias = 0.6 * SigmaMetres * draw.NextGaussian();
        uint seed = (uint)(draw.NextUInt64() >> 32);
        double reference = estate.Place.Frame.Origin.HeightAboveEllipsoidMetres;
        float[] heights = new float[cells * cells];
        for (int row = 0; row < cells; row++)
        {
            for (int column = 0; column < cells; column++)
            {
                Vector3D local = estate.Place.ToLocal(grid.CentreOf(row, column), reference);
                double up = smooth(local.X, local.Y);
                GeodeticPosition at = estate.Place.ToGeodetic(new Vector3D(local.X, local.Y, up));
                GeographicPoint place = new(at.Latitude, at.Longitude);
                double sea = at.HeightAboveEllipsoidMetres - GeoidModel.Egm96.UndulationMetres(place);
                double rolling = 1.6 * SigmaMetres * LatticeNoise.Fractal(column / 5f, row / 5f, 3, 0.5f, seed);
                heights[(row * cells) + column] = (float)(
                    sea + bias + rolling + (0.35 * SigmaMetres * draw.NextGaussian())
                );
            }
        }

        Cog.Write(
            path,
            new Raster<float>(
                RasterLabel.OfOneBand(grid, "height", "m") with
                {
                    Heights = VerticalReference.Egm96Geoid,
                    Items = new Dictionary<string, string>
                    {
                        ["standard error of a height"] = FormattableString.Invariant($"{SigmaMetres} m"),
                    },
                },
                [heights]
            )
        );
    }
}
