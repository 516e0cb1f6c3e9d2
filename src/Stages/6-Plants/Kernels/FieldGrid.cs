namespace Hillrow.Plants;

/// <summary>
/// A plane of numbers in the block's own metres: x east of the window's west edge, y south of its north edge.
/// </summary>
internal sealed record FieldGrid(int Rows, int Columns, double CellMetres, float[] Values)
{
    /// <summary>Bilinear between cell centres; the edge value outside.</summary>
    public float At(double x, double y)
    {
        double column = Math.Clamp((x / CellMetres) - 0.5, 0, Columns - 1.001);
        double row = Math.Clamp((y / CellMetres) - 0.5, 0, Rows - 1.001);
        int c = (int)column;
        int r = (int)row;
        float a = (float)(column - c);
        float b = (float)(row - r);
        int right = Columns > 1 ? 1 : 0;
        int down = Rows > 1 ? Columns : 0;
        int at = (r * Columns) + c;
        float top = Values[at] + (a * (Values[at + right] - Values[at]));
        float bottom = Values[at + down] + (a * (Values[at + down + right] - Values[at + down]));
        return top + (b * (bottom - top));
    }

    /// <summary>Index of the cell that holds a place, or -1 outside.</summary>
    public int IndexAt(double x, double y)
    {
        int column = (int)Math.Floor(x / CellMetres);
        int row = (int)Math.Floor(y / CellMetres);
        return column >= 0 && row >= 0 && column < Columns && row < Rows ? (row * Columns) + column : -1;
    }

    /// <summary>Means over whole groups of cells of a plane that need not stand in memory.</summary>
    /// <param name="rows">Of the fine plane.</param>
    /// <param name="columns">Of the fine plane.</param>
    /// <param name="cellMetres">Of the fine plane.</param>
    /// <param name="factor">Fine cells to a coarse one, along and across; at least 1.</param>
    /// <param name="valueAt">Value of a fine cell by its index.</param>
    public static FieldGrid MeansOf(int rows, int columns, double cellMetres, int factor, Func<int, float> valueAt)
    {
        int coarseRows = (rows + factor - 1) / factor;
        int coarseColumns = (columns + factor - 1) / factor;
        float[] result = new float[coarseRows * coarseColumns];
        for (int row = 0; row < coarseRows; row++)
        {
            int endRow = Math.Min(rows, (row + 1) * factor);
            for (int column = 0; column < coarseColumns; column++)
            {
                int endColumn = Math.Min(columns, (column + 1) * factor);
                float sum = 0;
                for (int r = row * factor; r < endRow; r++)
                {
                    for (int c = column * factor; c < endColumn; c++)
                    {
                        sum += valueAt((r * columns) + c);
                    }
                }

                result[(row * coarseColumns) + column] =
                    sum / ((endRow - (row * factor)) * (endColumn - (column * factor)));
            }
        }

        return new FieldGrid(coarseRows, coarseColumns, cellMetres * factor, result);
    }
}
