using Hillrow.Earth;

namespace Hillrow.Reconstruction;

/// <summary>How far the surface of slanted pictures goes: the one piece of ground whose heights are found nearly everywhere.</summary>
/// <remarks>
/// Towards the horizon matches grow rare, and a map of lonely patches is no map. Where pictures look straight down, the
/// outline of the frames ends the surface sharply, and nothing is cut.
/// </remarks>
internal static class SurfaceExtent
{
    /// <summary>Side of the blocks that are judged as a whole.</summary>
    private const double BlockMetres = 4;

    /// <summary>Share of a block's cells with a height of its own that makes it part of the surface.</summary>
    private const double LeastShare = 0.5;

    /// <param name="samples">Rows × columns, 0 where no height was measured.</param>
    /// <param name="grid">Of the cells.</param>
    /// <returns>Rows × columns, true inside, and the smallest window around it; null when there is no such piece.</returns>
    public static (bool[] Inside, CellRange Window)? Of(ReadOnlySpan<byte> samples, GridGeometry grid)
    {
        int side = Math.Max(1, (int)Math.Round(BlockMetres / grid.CellSizeMetres));
        int down = (grid.Rows + side - 1) / side;
        int across = (grid.Columns + side - 1) / side;
        bool[] blocks = Largest(Dense(samples, grid, side, down, across), down, across);
        if (!Array.Exists(blocks, kept => kept))
        {
            return null;
        }

        blocks = Widened(blocks, down, across);
        bool[] inside = new bool[grid.CellCount];
        (int firstRow, int endRow, int firstColumn, int endColumn) = (grid.Rows, 0, grid.Columns, 0);
        for (int row = 0; row < grid.Rows; row++)
        {
            for (int column = 0; column < grid.Columns; column++)
            {
                if (blocks[(row / side * across) + (column / side)])
                {
                    inside[(row * grid.Columns) + column] = true;
                    (firstRow, endRow) = (Math.Min(firstRow, row), Math.Max(endRow, row + 1));
                    (firstColumn, endColumn) = (Math.Min(firstColumn, column), Math.Max(endColumn, column + 1));
                }
            }
        }

        return (inside, new CellRange(firstRow, endRow, firstColumn, endColumn));
    }

    /// <summary>A window of values, those outside the piece replaced.</summary>
    public static T[] Cut<T>(T[] values, bool[] inside, int columns, CellRange window, T outside)
    {
        int wide = window.EndColumn - window.FirstColumn;
        T[] cut = new T[(window.EndRow - window.FirstRow) * wide];
        for (int at = 0; at < cut.Length; at++)
        {
            int from = ((window.FirstRow + (at / wide)) * columns) + window.FirstColumn + (at % wide);
            cut[at] = inside[from] ? values[from] : outside;
        }

        return cut;
    }

    /// <summary>The grid of a window.</summary>
    public static GridGeometry Cut(GridGeometry grid, CellRange window) =>
        new(
            grid.ReferenceSystem,
            new GridPoint(
                grid.OuterTopLeft.EastingMetres + (window.FirstColumn * grid.CellSizeMetres),
                grid.OuterTopLeft.NorthingMetres - (window.FirstRow * grid.CellSizeMetres)
            ),
            grid.CellSizeMetres,
            window.EndRow - window.FirstRow,
            window.EndColumn - window.FirstColumn
        );

    private static bool[] Dense(ReadOnlySpan<byte> samples, GridGeometry grid, int side, int down, int across)
    {
        bool[] dense = new bool[down * across];
        for (int block = 0; block < dense.Length; block++)
        {
            int top = block / across * side;
            int left = block % across * side;
            int measured = 0;
            int cells = 0;
            for (int row = top; row < Math.Min(grid.Rows, top + side); row++)
            {
                for (int column = left; column < Math.Min(grid.Columns, left + side); column++)
                {
                    cells++;
                    measured += samples[(row * grid.Columns) + column] > 0 ? 1 : 0;
                }
            }

            dense[block] = measured >= LeastShare * cells;
        }

        return dense;
    }

    /// <summary>The largest piece of blocks that touch along a side.</summary>
    private static bool[] Largest(bool[] blocks, int down, int across)
    {
        int[] piece = new int[blocks.Length];
        int pieces = 0;
        int most = 0;
        int best = 0;
        Queue<int> open = new();
        for (int start = 0; start < blocks.Length; start++)
        {
            if (!blocks[start] || piece[start] != 0)
            {
                continue;
            }

            int size = 0;
            piece[start] = ++pieces;
            open.Enqueue(start);
            while (open.TryDequeue(out int at))
            {
                size++;
                foreach (
                    (int r, int c) in (ReadOnlySpan<(int, int)>)
                        [
                            ((at / across) - 1, at % across),
                            ((at / across) + 1, at % across),
                            (at / across, (at % across) - 1),
                            (at / across, (at % across) + 1),
                        ]
                )
                {
                    if (r >= 0 && c >= 0 && r < down && c < across)
                    {
                        int next = (r * across) + c;
                        if (blocks[next] && piece[next] == 0)
                        {
                            piece[next] = pieces;
                            open.Enqueue(next);
                        }
                    }
                }
            }

            (most, best) = size > most ? (size, pieces) : (most, best);
        }

        return [.. piece.Select(entry => entry != 0 && entry == best)];
    }

    /// <summary>With the blocks around: the edge itself is seldom half full.</summary>
    private static bool[] Widened(bool[] blocks, int down, int across)
    {
        bool[] wide = new bool[blocks.Length];
        for (int at = 0; at < blocks.Length; at++)
        {
            (int row, int column) = (at / across, at % across);
            for (int r = Math.Max(0, row - 1); r <= Math.Min(down - 1, row + 1) && !wide[at]; r++)
            {
                for (int c = Math.Max(0, column - 1); c <= Math.Min(across - 1, column + 1); c++)
                {
                    wide[at] |= blocks[(r * across) + c];
                }
            }
        }

        return wide;
    }
}
