using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class PathAggregationTests
{
    [Theory]
    [InlineData(7, 9, 16, 1ul)]
    [InlineData(5, 12, 32, 2ul)]
    [InlineData(1, 1, 16, 3ul)]
    public void Sum_RandomCosts_EqualsThePlainTwin(int rows, int columns, int levels, ulong seed)
    {
        SplittableRandom draw = new(seed);
        byte[] costs = new byte[rows * columns * levels];
        float[] picture = new float[rows * columns];
        for (int at = 0; at < costs.Length; at++)
        {
            costs[at] = (byte)draw.NextInt32(34);
        }

        for (int at = 0; at < picture.Length; at++)
        {
            picture[at] = (float)draw.NextDouble(0, 50);
        }

        ushort[] sums = new ushort[costs.Length];
        new PathAggregation(rows, columns, levels, 2, 22, 10).Sum(costs, picture, sums);
        Assert.Equal(Plain(costs, picture, rows, columns, levels), sums);
    }

    /// <summary>The recursion of the source, path by path.</summary>
    private static ushort[] Plain(byte[] costs, float[] picture, int rows, int columns, int levels)
    {
        ushort[] sums = new ushort[costs.Length];
        foreach ((int dr, int dc) in new[] { (0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (1, -1), (-1, 1), (-1, -1) })
        {
            int[] path = new int[costs.Length];
            for (int line = 0; line < rows; line++)
            {
                int row = dr < 0 ? rows - 1 - line : line;
                for (int place = 0; place < columns; place++)
                {
                    int column = dc < 0 ? columns - 1 - place : place;
                    int own = (row * columns) + column;
                    (int r, int c) = (row - dr, column - dc);
                    bool first = r < 0 || c < 0 || r >= rows || c >= columns;
                    int from = (r * columns) + c;
                    for (int level = 0; level < levels; level++)
                    {
                        int value = costs[(own * levels) + level];
                        if (!first)
                        {
                            ReadOnlySpan<int> before = path.AsSpan(from * levels, levels);
                            int least = before[0];
                            foreach (int entry in before)
                            {
                                least = Math.Min(least, entry);
                            }

                            float large = 22 / (1 + (Math.Abs(picture[own] - picture[from]) / 10));
                            int jump = large > 4 ? (int)large : 4;
                            int best = Math.Min(before[level], least + jump);
                            best = level > 0 ? Math.Min(best, before[level - 1] + 2) : best;
                            best = level < levels - 1 ? Math.Min(best, before[level + 1] + 2) : best;
                            value += best - least;
                        }

                        path[(own * levels) + level] = value;
                        sums[(own * levels) + level] += (ushort)value;
                    }
                }
            }
        }

        return sums;
    }
}
