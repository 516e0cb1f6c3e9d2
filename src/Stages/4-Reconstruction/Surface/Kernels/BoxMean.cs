namespace Hillrow.Reconstruction;

/// <summary>Means over square windows, cut at the border, by running sums.</summary>
internal static class BoxMean
{
    /// <param name="values">Rows × columns.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="reach">The window has 2 · reach + 1 cells each way.</param>
    public static float[] Of(float[] values, int rows, int columns, int reach)
    {
        float[] both = new float[values.Length];
        Into(values, rows, columns, reach, new float[values.Length], both);
        return both;
    }

    /// <summary>The same without arrays of its own.</summary>
    /// <param name="values">At least rows × columns.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="reach">The window has 2 · reach + 1 cells each way.</param>
    /// <param name="across">Scratch as long.</param>
    /// <param name="both">Receives the means.</param>
    public static void Into(float[] values, int rows, int columns, int reach, float[] across, float[] both)
    {
        unchecked
        {
            // Indices are clipped to the grid.
            for (int row = 0; row < rows; row++)
            {
                ReadOnlySpan<float> line = values.AsSpan(row * columns, columns);
                Span<float> means = across.AsSpan(row * columns, columns);
                double sum = 0;
                int from = 0;
                int to = 0;
                for (int at = 0; at < columns; at++)
                {
                    int end = Math.Min(columns, at + reach + 1);
                    while (to < end)
                    {
                        sum += line[to++];
                    }

                    while (from < at - reach)
                    {
                        sum -= line[from++];
                    }

                    means[at] = (float)(sum / (to - from));
                }
            }

            // Down the columns row by row, all columns side by side: memory is walked in order.
            double[] sums = new double[columns];
            int first = 0;
            int next = 0;
            for (int row = 0; row < rows; row++)
            {
                for (int end = Math.Min(rows, row + reach + 1); next < end; next++)
                {
                    for (int column = 0; column < columns; column++)
                    {
                        sums[column] += across[(next * columns) + column];
                    }
                }

                for (; first < row - reach; first++)
                {
                    for (int column = 0; column < columns; column++)
                    {
                        sums[column] -= across[(first * columns) + column];
                    }
                }

                double share = 1.0 / (next - first);
                for (int column = 0; column < columns; column++)
                {
                    both[(row * columns) + column] = (float)(sums[column] * share);
                }
            }
        }
    }
}
