using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Where the cells of a survey's surface lie.</summary>
internal static class SurfaceGrid
{
    /// <summary>A whole number of cells from the grid's origin, so that surfaces of all dates fall on each other.</summary>
    public static GridGeometry Of(
        ReconstructionInput input,
        LocalFrame frame,
        IReadOnlyList<SightedFrame> placed,
        HeightField ground,
        double cellMetres
    )
    {
        double west = double.PositiveInfinity;
        double east = double.NegativeInfinity;
        double south = double.PositiveInfinity;
        double north = double.NegativeInfinity;
        foreach (SightedFrame sighted in placed)
        {
            foreach (Vector3D place in Footprint.Of(sighted, ground).OutlineLocalMetres)
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
}
