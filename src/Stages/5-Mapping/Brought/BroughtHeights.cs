using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Mapping;

/// <summary>Heights that were brought beside a map.</summary>
public static class BroughtHeights
{
    /// <summary>Kept in memory, as surfaces of captures are.</summary>
    private const long MostCells = 400_000_000;

    /// <summary>No ground of the earth, its seas' floors included: an undeclared "no data".</summary>
    private const float LowestMetres = -12_000;
    private const float HighestMetres = 9_000;

    /// <summary>Reads heights onto a metric grid; what cannot be a height of the earth is missing.</summary>
    /// <param name="path">GeoTIFF of one band, metres.</param>
    /// <param name="target">The estate's UTM zone.</param>
    /// <param name="grid">To read onto; null: one of the file's own pixel size.</param>
    /// <exception cref="InputProblemException">Not such a file, too large, or hardly a height in it.</exception>
    public static Raster<float> Read(string path, ReferenceSystem target, GridGeometry? grid)
    {
        using RasterFile file = RasterFile.Open(path);
        GridWarp warp = new(file, target);
        grid ??= warp.Grid;
        if (grid.CellCount > MostCells)
        {
            throw new InputProblemException(
                path,
                $"{grid.Rows} × {grid.Columns} heights are more than fit in memory (at most {MostCells / 1_000_000} million).",
                "Cut it to the estate, or give it with coarser cells."
            );
        }

        Raster<float> heights = new(LabelOf(grid, "surface"));
        const int band = 1024;
        for (int row = 0; row < grid.Rows; row += band)
        {
            RasterWindow window = new(row, 0, Math.Min(band, grid.Rows - row), grid.Columns);
            warp.Read(grid, window, [0], heights.Band(0).Slice(row * grid.Columns, (int)window.CellCount));
        }

        long known = 0;
        foreach (ref float height in heights.Band(0))
        {
            height = height is > LowestMetres and < HighestMetres ? height : float.NaN;
            known += float.IsNaN(height) ? 0 : 1;
        }

        return known > 0
            ? heights
            : throw new InputProblemException(
                path,
                "holds no height here.",
                "Give heights in metres that cover the map's ground."
            );
    }

    public static RasterLabel LabelOf(GridGeometry grid, string name) => RasterLabel.OfOneBand(grid, name, "m");
}
