using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>
/// Crowns by flooding the canopy from the plants' positions, tile by tile: a tile sees its plants' neighbours too, and
/// keeps the crowns of its own plants only, so tiles can be done in any order.
/// </summary>
internal static class Crowns
{
    private const double MarkerRadiusMetres = 0.1;

    /// <param name="scene">The block.</param>
    /// <param name="tile">Cells of the scene's window that the tile sees.</param>
    /// <param name="plants">All plants in reach: label above 0 and place in block metres.</param>
    /// <param name="spacing">Planting distance, metres.</param>
    /// <param name="reach">Farthest that a crown goes from its plant, metres.</param>
    /// <param name="buffers">The worker's.</param>
    /// <returns>Labels of the tile's cells; the array may be longer, and is the worker's.</returns>
    public static int[] Grow(
        BlockScene scene,
        RasterWindow tile,
        IReadOnlyList<(int Label, double X, double Y)> plants,
        double spacing,
        double reach,
        TileBuffers buffers
    )
    {
        double cell = scene.Grid.CellSizeMetres;
        int size = tile.Rows * tile.Columns;
        Span<float> surface = buffers.Of<float>("tops", size).AsSpan(0, size);
        byte[] mask = buffers.Of<byte>("canopy", size);
        float[] source = scene.Tops;
        for (int row = 0; row < tile.Rows; row++)
        {
            int from = ((tile.Row + row) * scene.Window.Columns) + tile.Column;
            scene.Canopy.AsSpan(from, tile.Columns).CopyTo(mask.AsSpan(row * tile.Columns));
            source.AsSpan(from, tile.Columns).CopyTo(surface[(row * tile.Columns)..]);
        }

        Span<float> smooth = buffers.Of<float>("smooth tops", size).AsSpan(0, size);
        GaussianFilter.Smooth<float>(
            surface,
            tile.Rows,
            tile.Columns,
            Math.Max(0.7, 0.06 * spacing / cell),
            Border.Nearest,
            smooth
        );
        for (int at = 0; at < size; at++)
        {
            smooth[at] = -smooth[at];
        }

        int[] labels = buffers.Of<int>("crowns", size);
        labels.AsSpan(0, size).Clear();
        Dictionary<int, (double X, double Y)> place = [];
        foreach ((int label, double x, double y) in plants)
        {
            place[label] = (x, y);
            Mark(labels, mask, tile, cell, label, x, y, 0.35 * spacing);
        }

        WatershedFlood.Grow<float>(
            smooth,
            tile.Rows,
            tile.Columns,
            mask.AsSpan(0, size),
            Connectivity.Four,
            labels.AsSpan(0, size)
        );
        for (int row = 0; row < tile.Rows; row++)
        {
            for (int column = 0; column < tile.Columns; column++)
            {
                int at = (row * tile.Columns) + column;
                if (labels[at] > 0)
                {
                    (double x, double y) = place[labels[at]];
                    double dx = ((tile.Column + column + 0.5) * cell) - x;
                    double dy = ((tile.Row + row + 0.5) * cell) - y;
                    labels[at] = (dx * dx) + (dy * dy) > reach * reach ? 0 : labels[at];
                }
            }
        }

        return labels;
    }

    // A disc, or the nearest canopy when the plant's own place has none.
    private static void Mark(
        int[] labels,
        byte[] mask,
        RasterWindow tile,
        double cell,
        int label,
        double x,
        double y,
        double search
    )
    {
        int nearest = -1;
        double least = search * search;
        int reach = (int)Math.Ceiling(search / cell);
        int centreRow = (int)Math.Floor(y / cell) - tile.Row;
        int centreColumn = (int)Math.Floor(x / cell) - tile.Column;
        bool marked = false;
        for (int row = Math.Max(0, centreRow - reach); row <= Math.Min(tile.Rows - 1, centreRow + reach); row++)
        {
            for (
                int column = Math.Max(0, centreColumn - reach);
                column <= Math.Min(tile.Columns - 1, centreColumn + reach);
                column++
            )
            {
                int at = (row * tile.Columns) + column;
                if (mask[at] == 0 || labels[at] != 0)
                {
                    continue;
                }

                double dx = ((tile.Column + column + 0.5) * cell) - x;
                double dy = ((tile.Row + row + 0.5) * cell) - y;
                double square = (dx * dx) + (dy * dy);
                if (square <= MarkerRadiusMetres * MarkerRadiusMetres)
                {
                    labels[at] = label;
                    marked = true;
                }
                else if (square < least)
                {
                    least = square;
                    nearest = at;
                }
            }
        }

        if (!marked && nearest >= 0)
        {
            labels[nearest] = label;
        }
    }
}
