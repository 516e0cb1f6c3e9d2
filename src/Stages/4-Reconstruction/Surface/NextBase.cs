namespace Hillrow.Reconstruction;

/// <summary>Makes the smooth base and the range of the finer sweep from the heights of the coarser one.</summary>
internal static class NextBase
{
    private const int WindowPixels = 6;
    private const double ReachShare = 0.985;
    private const double LeastReachMetres = 0.6;
    private const double MostReachMetres = 4;

    /// <summary>Middle between the lowest and highest heights around each pixel, smoothed; and how far heights lie from it.</summary>
    public static (float[] Middle, double ReachMetres) From(float[] found, float[] fallBack, int rows, int columns)
    {
        float[] heights = Median(found, rows, columns);
        float[] filled = [.. heights];
        GapFill.Apply(filled, rows, columns);
        if (float.IsNaN(filled[0]))
        {
            return ([.. fallBack], LeastReachMetres);
        }

        float[] lowest = Extreme(filled, rows, columns, lowest: true);
        float[] highest = Extreme(filled, rows, columns, lowest: false);
        float[] middle = new float[filled.Length];
        for (int at = 0; at < middle.Length; at++)
        {
            middle[at] = (lowest[at] + highest[at]) / 2;
        }

        middle = BoxMean.Of(BoxMean.Of(middle, rows, columns, WindowPixels), rows, columns, WindowPixels);
        List<float> off = new(heights.Length);
        for (int at = 0; at < heights.Length; at++)
        {
            if (!float.IsNaN(heights[at]))
            {
                off.Add(Math.Abs(heights[at] - middle[at]));
            }
        }

        off.Sort();
        double reach = off.Count == 0 ? LeastReachMetres : off[(int)(ReachShare * (off.Count - 1))];
        return (middle, Math.Clamp(reach, LeastReachMetres, MostReachMetres));
    }

    /// <summary>Twice as large, bilinear.</summary>
    public static float[] Doubled(float[] values, int rows, int columns, int newRows, int newColumns)
    {
        float[] doubled = new float[newRows * newColumns];
        for (int row = 0; row < newRows; row++)
        {
            float v = Math.Clamp(((row + 0.5f) / 2) - 0.5f, 0, rows - 1.001f);
            int r = (int)v;
            v -= r;
            for (int column = 0; column < newColumns; column++)
            {
                float u = Math.Clamp(((column + 0.5f) / 2) - 0.5f, 0, columns - 1.001f);
                int c = (int)u;
                u -= c;
                int at = (r * columns) + c;
                float top = values[at] + ((values[at + 1] - values[at]) * u);
                float low = values[at + columns] + ((values[at + columns + 1] - values[at + columns]) * u);
                doubled[(row * newColumns) + column] = top + ((low - top) * v);
            }
        }

        return doubled;
    }

    /// <summary>Median of the known heights of 3 × 3 pixels; NaN when fewer than four are known.</summary>
    private static float[] Median(float[] values, int rows, int columns)
    {
        float[] median = new float[values.Length];
        Span<float> window = stackalloc float[9];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                int count = 0;
                for (int r = Math.Max(0, row - 1); r <= Math.Min(rows - 1, row + 1); r++)
                {
                    for (int c = Math.Max(0, column - 1); c <= Math.Min(columns - 1, column + 1); c++)
                    {
                        float value = values[(r * columns) + c];
                        if (!float.IsNaN(value))
                        {
                            window[count++] = value;
                        }
                    }
                }

                window[..count].Sort();
                median[(row * columns) + column] = count >= 4 ? window[count / 2] : float.NaN;
            }
        }

        return median;
    }

    private static float[] Extreme(float[] values, int rows, int columns, bool lowest)
    {
        float[] across = new float[values.Length];
        float[] both = new float[values.Length];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                float best = values[(row * columns) + column];
                for (int c = Math.Max(0, column - WindowPixels); c <= Math.Min(columns - 1, column + WindowPixels); c++)
                {
                    float value = values[(row * columns) + c];
                    best = lowest ? Math.Min(best, value) : Math.Max(best, value);
                }

                across[(row * columns) + column] = best;
            }
        }

        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                float best = across[(row * columns) + column];
                for (int r = Math.Max(0, row - WindowPixels); r <= Math.Min(rows - 1, row + WindowPixels); r++)
                {
                    float value = across[(r * columns) + column];
                    best = lowest ? Math.Min(best, value) : Math.Max(best, value);
                }

                both[(row * columns) + column] = best;
            }
        }

        return both;
    }
}
