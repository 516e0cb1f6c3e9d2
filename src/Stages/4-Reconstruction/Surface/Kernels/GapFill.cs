namespace Hillrow.Reconstruction;

/// <summary>Fills NaN cells of a grid smoothly from what lies around: averages of ever larger cells, bilinear between.</summary>
/// <remarks>Known cells are kept. Source: push–pull interpolation (S. Gortler et al. 1996, doi 10.1145/237170.237200).</remarks>
internal static class GapFill
{
    /// <param name="values">Rows × columns, row-major; NaN cells are filled, unless all are NaN.</param>
    /// <param name="rows">At least 1.</param>
    /// <param name="columns">At least 1.</param>
    public static void Apply(Span<float> values, int rows, int columns)
    {
        if (rows * columns <= 1 || !HasGap(values))
        {
            return;
        }

        int halfRows = (rows + 1) / 2;
        int halfColumns = (columns + 1) / 2;
        float[] half = new float[halfRows * halfColumns];
        for (int row = 0; row < halfRows; row++)
        {
            for (int column = 0; column < halfColumns; column++)
            {
                float sum = 0;
                int count = 0;
                for (int r = 2 * row; r < Math.Min(rows, (2 * row) + 2); r++)
                {
                    for (int c = 2 * column; c < Math.Min(columns, (2 * column) + 2); c++)
                    {
                        float value = values[(r * columns) + c];
                        if (!float.IsNaN(value))
                        {
                            sum += value;
                            count++;
                        }
                    }
                }

                half[(row * halfColumns) + column] = count > 0 ? sum / count : float.NaN;
            }
        }

        Apply(half, halfRows, halfColumns);
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                if (float.IsNaN(values[(row * columns) + column]))
                {
                    values[(row * columns) + column] = Between(
                        half,
                        halfRows,
                        halfColumns,
                        ((row + 0.5f) / 2) - 0.5f,
                        ((column + 0.5f) / 2) - 0.5f
                    );
                }
            }
        }
    }

    private static bool HasGap(ReadOnlySpan<float> values)
    {
        foreach (float value in values)
        {
            if (float.IsNaN(value))
            {
                return true;
            }
        }

        return false;
    }

    private static float Between(float[] values, int rows, int columns, float row, float column)
    {
        row = Math.Clamp(row, 0, rows - 1);
        column = Math.Clamp(column, 0, columns - 1);
        int r = Math.Min((int)row, Math.Max(0, rows - 2));
        int c = Math.Min((int)column, Math.Max(0, columns - 2));
        int right = columns > 1 ? 1 : 0;
        int below = rows > 1 ? columns : 0;
        float u = column - c;
        float v = row - r;
        int at = (r * columns) + c;
        float top = values[at] + ((values[at + right] - values[at]) * u);
        float bottom = values[at + below] + ((values[at + below + right] - values[at + below]) * u);
        return top + ((bottom - top) * v);
    }
}
