namespace Hillrow.Reconstruction;

/// <summary>Which levels the tiles of a finer size try, from the heights of a coarser one.</summary>
internal static class TileReach
{
    /// <summary>Coarse pixels around a tile that it must reach up or down to.</summary>
    private const int MarginPixels = 3;

    /// <summary>Steps tried beyond what was found.</summary>
    private const int SpareLevels = 3;

    /// <summary>Levels tried where nothing was found near.</summary>
    private const int BlindLevels = 24;

    private const int MostLevels = 128;

    /// <param name="found">Coarse rows × columns heights over the plane, metres; NaN unknown.</param>
    /// <param name="coarseRows">Half of <paramref name="rows"/>.</param>
    /// <param name="coarseColumns">Half of <paramref name="columns"/>.</param>
    /// <param name="rows">Of the finer picture.</param>
    /// <param name="columns">Of the finer picture.</param>
    /// <param name="stepMetres">Of the finer levels.</param>
    /// <param name="buffers">For scratch.</param>
    public static SweepTiles From(
        float[] found,
        int coarseRows,
        int coarseColumns,
        int rows,
        int columns,
        double stepMetres,
        SweepBuffers buffers
    )
    {
        float[] heights = buffers.Medians(found.Length);
        Median(found, coarseRows, coarseColumns, heights);
        int across = (columns + SweepTiles.Width - 1) / SweepTiles.Width;
        int down = (rows + SweepTiles.Height - 1) / SweepTiles.Height;
        float[] lowest = new float[across * down];
        float[] highest = new float[across * down];
        for (int tile = 0; tile < lowest.Length; tile++)
        {
            int row = tile / across * SweepTiles.Height / 2;
            int column = tile % across * SweepTiles.Width / 2;
            float low = float.PositiveInfinity;
            float high = float.NegativeInfinity;
            int lastRow = Math.Min(coarseRows - 1, row + (SweepTiles.Height / 2) - 1 + MarginPixels);
            int lastColumn = Math.Min(coarseColumns - 1, column + (SweepTiles.Width / 2) - 1 + MarginPixels);
            for (int r = Math.Max(0, row - MarginPixels); r <= lastRow; r++)
            {
                for (int c = Math.Max(0, column - MarginPixels); c <= lastColumn; c++)
                {
                    float height = heights[(r * coarseColumns) + c];
                    if (!float.IsNaN(height))
                    {
                        low = Math.Min(low, height);
                        high = Math.Max(high, height);
                    }
                }
            }

            lowest[tile] = low <= high ? low : float.NaN;
            highest[tile] = low <= high ? high : float.NaN;
        }

        float[] filledLow = [.. lowest];
        float[] filledHigh = [.. highest];
        GapFill.Apply(filledLow, down, across);
        GapFill.Apply(filledHigh, down, across);
        int[] firsts = new int[lowest.Length];
        int[] counts = new int[lowest.Length];
        for (int tile = 0; tile < firsts.Length; tile++)
        {
            int spare = float.IsNaN(lowest[tile]) ? BlindLevels : SpareLevels;
            float low = float.IsNaN(filledLow[tile]) ? 0 : filledLow[tile];
            float high = float.IsNaN(filledHigh[tile]) ? 0 : filledHigh[tile];
            int first = (int)Math.Floor(low / stepMetres) - spare;
            int last = (int)Math.Ceiling(high / stepMetres) + spare;
            int levels = RoundedUp(last - first + 1);

            // Where more is asked for than is tried, the upper part stays: what stands there hides what is below.
            firsts[tile] = levels > MostLevels ? last - MostLevels + 1 : first - ((levels - (last - first + 1)) / 2);
            counts[tile] = Math.Min(levels, MostLevels);
        }

        return new SweepTiles(rows, columns, firsts, counts);
    }

    public static int RoundedUp(int levels) =>
        (levels + SweepTiles.LevelUnit - 1) / SweepTiles.LevelUnit * SweepTiles.LevelUnit;

    /// <summary>Median of the known heights of 3 × 3 pixels; NaN when fewer than four are known.</summary>
    private static void Median(float[] values, int rows, int columns, float[] median)
    {
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
                            // Kept in order as they come.
                            int at = count++;
                            for (; at > 0 && window[at - 1] > value; at--)
                            {
                                window[at] = window[at - 1];
                            }

                            window[at] = value;
                        }
                    }
                }

                median[(row * columns) + column] = count >= 4 ? window[count / 2] : float.NaN;
            }
        }
    }
}
