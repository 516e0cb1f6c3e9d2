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

    /// <summary>Means over whole groups of cells.</summary>
    public FieldGrid Coarser(int factor)
    {
        if (factor <= 1)
        {
            return this;
        }

        int rows = (Rows + factor - 1) / factor;
        int columns = (Columns + factor - 1) / factor;
        float[] result = new float[rows * columns];
        for (int row = 0; row < rows; row++)
        {
            int endRow = Math.Min(Rows, (row + 1) * factor);
            for (int column = 0; column < columns; column++)
            {
                int endColumn = Math.Min(Columns, (column + 1) * factor);
                float sum = 0;
                for (int r = row * factor; r < endRow; r++)
                {
                    for (int c = column * factor; c < endColumn; c++)
                    {
                        sum += Values[(r * Columns) + c];
                    }
                }

                result[(row * columns) + column] = sum / ((endRow - (row * factor)) * (endColumn - (column * factor)));
            }
        }

        return new FieldGrid(rows, columns, CellMetres * factor, result);
    }
}
