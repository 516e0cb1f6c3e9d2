using Hillrow.Earth;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>A block's boundary as the stages want it.</summary>
internal static class BlockPolygons
{
    /// <summary>In the boundary's order, holes kept, rings not closed by a repeated corner.</summary>
    public static IReadOnlyList<GridPolygon> Of(Block block) =>
        [
            .. block
                .Boundary.Geometries.OfType<Polygon>()
                .Select(polygon => new GridPolygon(
                    RingOf(polygon.ExteriorRing),
                    [.. polygon.InteriorRings.Select(RingOf)]
                )),
        ];

    private static IReadOnlyList<GridPoint> RingOf(LineString ring) =>
        [.. ring.Coordinates.SkipLast(1).Select(corner => new GridPoint(corner.X, corner.Y))];
}
