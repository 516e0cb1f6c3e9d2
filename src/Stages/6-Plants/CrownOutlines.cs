using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>A crown's outline: usually one polygon; holes are gaps in its foliage.</summary>
/// <param name="Plant">Index of the plant within its block and survey.</param>
/// <param name="Polygons">Along pixel edges, in the map's reference system; no two plants' overlap.</param>
public sealed record CrownOutline(int Plant, IReadOnlyList<GridPolygon> Polygons);

/// <summary>Draws the outlines that a crown raster holds; made when they are asked for, since they take far more room than it.</summary>
public static class CrownOutlines
{
    /// <param name="crowns">Plant index by cell, 0 outside crowns.</param>
    /// <returns>One for each plant of the raster, by its index.</returns>
    public static IReadOnlyList<CrownOutline> Of(Raster<int> crowns)
    {
        ArgumentNullException.ThrowIfNull(crowns);
        GridGeometry grid = crowns.Grid;
        return
        [
            .. RasterOutlines
                .Of(crowns.Band(0), crowns.Rows, crowns.Columns, Connectivity.Four)
                .Where(region => region.Value != 0)
                .GroupBy(region => region.Value)
                .OrderBy(regions => regions.Key)
                .Select(regions => new CrownOutline(
                    regions.Key,
                    [
                        .. regions.Select(region => new GridPolygon(
                            Ring(region.Outer[0]),
                            [.. region.Holes.Select(Ring)]
                        )),
                    ]
                )),
        ];

        IReadOnlyList<GridPoint> Ring(CellRing ring) =>
            [
                .. ring.Corners.Select(corner => new GridPoint(
                    grid.WestMetres + (corner.X * grid.CellSizeMetres),
                    grid.NorthMetres - (corner.Y * grid.CellSizeMetres)
                )),
            ];
    }
}
