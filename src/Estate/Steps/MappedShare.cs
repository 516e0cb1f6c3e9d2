using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping;

namespace Hillrow.Estate;

/// <summary>How much of a block the map shows: what was not seen was not judged, and the page must say so.</summary>
internal sealed class MappedShare
{
    /// <summary>Fine enough for a share in percent of a block of a tenth of a hectare.</summary>
    private const double CellMetres = 0.4;
    private readonly GridGeometry grid;
    private readonly bool[] seen;

    private MappedShare(GridGeometry grid, bool[] seen) => (this.grid, this.seen) = (grid, seen);

    /// <summary>
    /// Reads the layer of capture numbers at an overview, or the first band of a map that was brought; null when it
    /// lies on no metric grid.
    /// </summary>
    public static MappedShare? Read(MapFiles map)
    {
        using RasterFile file = RasterFile.Open(File.Exists(map.Capture) ? map.Capture : map.Reflectance);
        if (file.TryGrid() is not { } full || file.NoData is not { } noData)
        {
            return null;
        }

        int level = file.LevelFor(Math.Max(1, CellMetres / full.CellSizeMetres));
        RasterLevel read = file.Levels[level];
        ushort[] captures = new ushort[read.Rows * read.Columns];
        file.Read(level, 0, new RasterWindow(0, 0, read.Rows, read.Columns), captures.AsSpan());
        return new MappedShare(
            new GridGeometry(
                full.ReferenceSystem,
                full.OuterTopLeft,
                full.CellSizeMetres * file.FactorOf(level).Columns,
                read.Rows,
                read.Columns
            ),
            [.. captures.Select(capture => !((double)capture).Equals(noData))]
        );
    }

    /// <summary>0 … 1 of the polygons' area; cells outside the map count as not seen.</summary>
    public double Of(IReadOnlyList<GridPolygon> polygons)
    {
        byte[] mask = new byte[grid.CellCount];
        foreach (GridPolygon polygon in polygons)
        {
            polygon.Mark(grid, mask, 1);
        }

        double cell = grid.CellSizeMetres * grid.CellSizeMetres;
        double area = polygons.Sum(polygon => polygon.AreaSquareMetres);
        int covered = 0;
        for (int at = 0; at < mask.Length; at++)
        {
            covered += mask[at] == 1 && seen[at] ? 1 : 0;
        }

        return area > 0 ? Math.Min(1, covered * cell / area) : double.NaN;
    }
}
