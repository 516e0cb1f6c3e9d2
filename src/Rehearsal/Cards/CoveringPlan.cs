using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>A plain plan that spreads a number of captures over the modelled ground.</summary>
public static class CoveringPlan
{
    private const double ForwardOverlap = 0.78;
    private const double SideOverlap = 0.72;

    /// <summary>East–west lines; as many as cover most of the extent with that many captures.</summary>
    /// <returns>At most as many captures as asked for, in lines of equal length.</returns>
    public static IReadOnlyList<PlannedCapture> Over(RehearsedEstate estate, int captures, double heightMetres)
    {
        ArgumentNullException.ThrowIfNull(estate);
        SceneExtent extent = estate.Model.Extent;
        (double tall, double wide) = FootprintMetres(heightMetres);
        int best = 1;
        double most = -1;
        for (int lines = 1; lines <= captures; lines++)
        {
            int each = captures / lines;
            double along = tall * (1 + ((each - 1) * (1 - ForwardOverlap)));
            double across = wide * (1 + ((lines - 1) * (1 - SideOverlap)));
            double covered = Math.Min(along, extent.WidthMetres) * Math.Min(across, extent.LengthMetres);
            // Of plans that cover the same, the one that wastes fewest captures.
            double value = covered - (0.001 * (captures - (lines * each)));
            if (value > most)
            {
                (best, most) = (lines, value);
            }
        }

        return FlightLines.Over(
            HillsideTerrain.Smooth(estate.Model),
            extent.WestMetres + (extent.WidthMetres / 2),
            extent.SouthMetres + (extent.LengthMetres / 2),
            heightMetres,
            best,
            captures / best,
            90,
            ForwardOverlap,
            SideOverlap
        );
    }

    /// <summary>Map rectangle inside the modelled ground seen from well inside the plan: half a footprint cut off each side.</summary>
    public static (GridPoint Low, GridPoint High) WellCovered(
        RehearsedEstate estate,
        IReadOnlyList<PlannedCapture> plan,
        double heightMetres
    )
    {
        ArgumentNullException.ThrowIfNull(estate);
        ArgumentNullException.ThrowIfNull(plan);
        SceneExtent extent = estate.Model.Extent;
        (double tall, double wide) = FootprintMetres(heightMetres);
        // A fifth of a footprint beyond the outermost triggers, and two metres off the model's edge.
        double west = Math.Max(plan.Min(at => at.PositionMetres.X) - (0.2 * tall), extent.WestMetres + 2);
        double east = Math.Min(plan.Max(at => at.PositionMetres.X) + (0.2 * tall), extent.EastMetres - 2);
        double south = Math.Max(plan.Min(at => at.PositionMetres.Y) - (0.2 * wide), extent.SouthMetres + 2);
        double north = Math.Min(plan.Max(at => at.PositionMetres.Y) + (0.2 * wide), extent.NorthMetres - 2);
        return (estate.Place.ToMap(new Vector3D(west, south, 0)), estate.Place.ToMap(new Vector3D(east, north, 0)));
    }

    private static (double TallMetres, double WideMetres) FootprintMetres(double heightMetres)
    {
        double pixel = heightMetres * TrueRig.PixelMicrometres / (TrueRig.NominalFocalMillimetres * 1000);
        return (pixel * TrueRig.Rows, pixel * TrueRig.Columns);
    }
}
