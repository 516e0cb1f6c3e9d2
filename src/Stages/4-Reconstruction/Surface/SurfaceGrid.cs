using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Where the cells of a survey's surface lie.</summary>
internal static class SurfaceGrid
{
    /// <summary>
    /// Around all that is well seen, inside the mapped area if there is one. A whole number of cells from the grid's
    /// origin, so that surfaces of all dates fall on each other.
    /// </summary>
    public static GridGeometry Of(
        ReconstructionInput input,
        LocalFrame frame,
        IReadOnlyList<SightedFrame> placed,
        HeightField ground,
        WellSeen wellSeen,
        double cellMetres
    )
    {
        double west = double.PositiveInfinity;
        double east = double.NegativeInfinity;
        double south = double.PositiveInfinity;
        double north = double.NegativeInfinity;
        foreach (SightedFrame sighted in placed)
        {
            foreach (Vector3D place in Outline(sighted, ground, wellSeen))
            {
                GeodeticPosition at = frame.ToGeodetic(place);
                GridPoint point = input.Grid.ToGrid(new GeographicPoint(at.Latitude, at.Longitude));
                west = Math.Min(west, point.EastingMetres);
                east = Math.Max(east, point.EastingMetres);
                south = Math.Min(south, point.NorthingMetres);
                north = Math.Max(north, point.NorthingMetres);
            }
        }

        if (input.MappedArea is { } area)
        {
            west = Math.Max(west, area.WestMetres);
            east = Math.Min(east, area.EastMetres);
            south = Math.Max(south, area.SouthMetres);
            north = Math.Min(north, area.NorthMetres);
        }

        if (!(east > west && north > south))
        {
            throw new InputProblemException(
                "the mapped area",
                "no placed capture sees it.",
                "Check the blocks' boundaries and their reference system, or the captures' positions."
            );
        }

        double left = Math.Floor(west / cellMetres) * cellMetres;
        double top = Math.Ceiling(north / cellMetres) * cellMetres;
        return new GridGeometry(
            input.Grid,
            new GridPoint(left, top),
            cellMetres,
            Math.Max(1, (int)Math.Ceiling((top - south) / cellMetres)),
            Math.Max(1, (int)Math.Ceiling((east - left) / cellMetres))
        );
    }

    /// <summary>The frame's own outline; of a frame that looks too far aslant, its well seen part.</summary>
    private static IEnumerable<Vector3D> Outline(SightedFrame frame, HeightField ground, WellSeen wellSeen)
    {
        Vector3D?[] places = wellSeen.Places(frame, ground);
        return Array.TrueForAll(places, place => place is not null)
            ? Footprint.Of(frame, ground).OutlineLocalMetres
            : places.OfType<Vector3D>();
    }
}
