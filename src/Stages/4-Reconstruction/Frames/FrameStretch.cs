namespace Hillrow.Reconstruction;

/// <summary>Turns counts of any bit depth into the 8 bits that features are looked for in.</summary>
/// <remarks>
/// Local: the darkest and brightest percentiles of a coarse lattice of windows, bilinear between, so that cloud shadows
/// and falloff do not hide texture. A lower limit on the spread keeps noise from being blown up.
/// </remarks>
public static class FrameStretch
{
    private const int WindowPixels = 128;
    private const double LowShare = 0.01;
    private const double HighShare = 0.99;

    /// <summary>Spread below this share of the brightest count is not stretched further.</summary>
    private const double LeastSpreadShare = 0.02;

    /// <param name="counts">Rows × columns counts as stored.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="grey">Receives rows × columns values 0 … 255.</param>
    public static void ToBytes(ReadOnlySpan<ushort> counts, int rows, int columns, Span<byte> grey)
    {
        int nodeRows = Math.Max(2, (rows / WindowPixels) + 1);
        int nodeColumns = Math.Max(2, (columns / WindowPixels) + 1);
        float[] low = new float[nodeRows * nodeColumns];
        float[] high = new float[nodeRows * nodeColumns];
        float least = (float)(LeastSpreadShare * Percentile(counts, rows, columns, 0, rows, 0, columns, HighShare));
        for (int r = 0; r < nodeRows; r++)
        {
            int middleRow = r * (rows - 1) / (nodeRows - 1);
            int top = Math.Max(0, middleRow - WindowPixels);
            int bottom = Math.Min(rows, middleRow + WindowPixels);
            for (int c = 0; c < nodeColumns; c++)
            {
                int middleColumn = c * (columns - 1) / (nodeColumns - 1);
                int left = Math.Max(0, middleColumn - WindowPixels);
                int right = Math.Min(columns, middleColumn + WindowPixels);
                int at = (r * nodeColumns) + c;
                low[at] = Percentile(counts, rows, columns, top, bottom, left, right, LowShare);
                high[at] = MathF.Max(
                    low[at] + MathF.Max(1, least),
                    Percentile(counts, rows, columns, top, bottom, left, right, HighShare)
                );
            }
        }

        for (int row = 0; row < rows; row++)
        {
            float v = (float)row * (nodeRows - 1) / Math.Max(1, rows - 1);
            int r = Math.Min((int)v, nodeRows - 2);
            v -= r;
            for (int column = 0; column < columns; column++)
            {
                float u = (float)column * (nodeColumns - 1) / Math.Max(1, columns - 1);
                int c = Math.Min((int)u, nodeColumns - 2);
                u -= c;
                int at = (r * nodeColumns) + c;
                float from = Between(low, at, nodeColumns, u, v);
                float to = Between(high, at, nodeColumns, u, v);
                float value = 255 * (counts[(row * columns) + column] - from) / (to - from);
                grey[(row * columns) + column] = (byte)Math.Clamp(value, 0, 255);
            }
        }
    }

    private static float Between(float[] nodes, int at, int stride, float u, float v)
    {
        float top = nodes[at] + ((nodes[at + 1] - nodes[at]) * u);
        float bottom = nodes[at + stride] + ((nodes[at + stride + 1] - nodes[at + stride]) * u);
        return top + ((bottom - top) * v);
    }

    /// <summary>A percentile of every fourth pixel each way of a window.</summary>
    private static float Percentile(
        ReadOnlySpan<ushort> counts,
        int rows,
        int columns,
        int top,
        int bottom,
        int left,
        int right,
        double share
    )
    {
        const int Step = 4;
        ushort[] sample = new ushort[(((bottom - top) / Step) + 1) * (((right - left) / Step) + 1)];
        int count = 0;
        for (int row = top; row < Math.Min(bottom, rows); row += Step)
        {
            for (int column = left; column < Math.Min(right, columns); column += Step)
            {
                sample[count++] = counts[(row * columns) + column];
            }
        }

        Array.Sort(sample, 0, count);
        return sample[(int)(share * (count - 1))];
    }
}
