using Hillrow.Earth;

namespace Hillrow.Reconstruction;

/// <summary>How far the surface of slanted pictures goes: the one piece of ground on which heights are found all over.</summary>
/// <remarks>
/// Towards the horizon matches grow rare, and a map of lonely patches is no map. Where pictures look straight down, the
/// outline of the frames ends the surface sharply, and nothing is cut.
/// </remarks>
internal static class SurfaceExtent
{
    /// <summary>Side of the window that is judged around a cell.</summary>
    private const double WindowMetres = 8;

    /// <summary>Share of the window's cells with a height of their own that makes a cell part of the surface: the gaps left are filled from metres around.</summary>
    private const double LeastShare = 0.1;

    /// <summary>Largest hole that counts to the piece around it: a large roof or a pond. Own choice.</summary>
    private const double LargestHoleSquareMetres = 400;

    /// <param name="samples">Rows × columns, 0 where no height was measured.</param>
    /// <param name="grid">Of the cells.</param>
    /// <returns>Rows × columns, true inside, and the smallest window around it; null when there is no such piece.</returns>
    public static (bool[] Inside, CellRange Window)? Of(ReadOnlySpan<byte> samples, GridGeometry grid)
    {
        bool[] inside = Dense(
            samples,
            grid.Rows,
            grid.Columns,
            (int)Math.Ceiling(WindowMetres / 2 / grid.CellSizeMetres)
        );
        KeepLargest(inside, grid.Rows, grid.Columns);
        CloseHoles(
            inside,
            grid.Rows,
            grid.Columns,
            LargestHoleSquareMetres / (grid.CellSizeMetres * grid.CellSizeMetres)
        );
        (int firstRow, int endRow, int firstColumn, int endColumn) = (grid.Rows, 0, grid.Columns, 0);
        for (int at = 0; at < inside.Length; at++)
        {
            if (inside[at])
            {
                (int row, int column) = (at / grid.Columns, at % grid.Columns);
                (firstRow, endRow) = (Math.Min(firstRow, row), Math.Max(endRow, row + 1));
                (firstColumn, endColumn) = (Math.Min(firstColumn, column), Math.Max(endColumn, column + 1));
            }
        }

        return endRow == 0 ? null : (inside, new CellRange(firstRow, endRow, firstColumn, endColumn));
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

    /// <summary>Cells around which enough are measured, by sums over all rows and columns before.</summary>
    private static bool[] Dense(ReadOnlySpan<byte> samples, int rows, int columns, int reach)
    {
        int stride = columns + 1;
        int[] before = new int[(rows + 1) * stride];
        for (int row = 0; row < rows; row++)
        {
            int inRow = 0;
            for (int column = 0; column < columns; column++)
            {
                inRow += samples[(row * columns) + column] > 0 ? 1 : 0;
                before[((row + 1) * stride) + column + 1] = before[(row * stride) + column + 1] + inRow;
            }
        }

        bool[] dense = new bool[rows * columns];
        for (int row = 0; row < rows; row++)
        {
            int top = Math.Max(0, row - reach) * stride;
            int bottom = Math.Min(rows, row + reach + 1) * stride;
            for (int column = 0; column < columns; column++)
            {
                int left = Math.Max(0, column - reach);
                int right = Math.Min(columns, column + reach + 1);
                int measured =
                    before[bottom + right] - before[top + right] - before[bottom + left] + before[top + left];
                dense[(row * columns) + column] =
                    measured >= LeastShare * ((bottom - top) / stride) * (right - left) && measured > 0;
            }
        }

        return dense;
    }

    /// <summary>Leaves the largest piece of cells that touch along a side.</summary>
    private static void KeepLargest(bool[] cells, int rows, int columns)
    {
        int[] best = [];
        foreach (int[] piece in Pieces(cells, rows, columns, value: true))
        {
            best = piece.Length > best.Length ? piece : best;
        }

        Array.Clear(cells);
        foreach (int at in best)
        {
            cells[at] = true;
        }
    }

    /// <summary>Takes in what the cells enclose, where it is no larger than told.</summary>
    private static void CloseHoles(bool[] cells, int rows, int columns, double largest)
    {
        foreach (int[] hole in Pieces(cells, rows, columns, value: false))
        {
            if (hole.Length <= largest && !Array.Exists(hole, IsAtEdge))
            {
                foreach (int at in hole)
                {
                    cells[at] = true;
                }
            }
        }

        bool IsAtEdge(int at) =>
            at < columns || at >= (rows - 1) * columns || at % columns == 0 || at % columns == columns - 1;
    }

    /// <summary>Pieces of cells of one value that touch along a side.</summary>
    private static List<int[]> Pieces(bool[] cells, int rows, int columns, bool value)
    {
        bool[] done = new bool[cells.Length];
        List<int[]> pieces = [];
        List<int> piece = [];
        for (int start = 0; start < cells.Length; start++)
        {
            if (cells[start] != value || done[start])
            {
                continue;
            }

            piece.Clear();
            done[start] = true;
            piece.Add(start);
            for (int next = 0; next < piece.Count; next++)
            {
                int at = piece[next];
                Join(at % columns > 0 ? at - 1 : -1);
                Join(at % columns < columns - 1 ? at + 1 : -1);
                Join(at - columns);
                Join(at + columns < rows * columns ? at + columns : -1);
            }

            pieces.Add([.. piece]);
        }

        return pieces;

        void Join(int next)
        {
            if (next >= 0 && cells[next] == value && !done[next])
            {
                done[next] = true;
                piece.Add(next);
            }
        }
    }
}
