using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class PathAggregationTests
{
    [Theory]
    [InlineData(7, 9, 1, 1ul)]
    [InlineData(19, 37, 3, 2ul)]
    [InlineData(1, 1, 1, 3ul)]
    [InlineData(24, 48, 2, 4ul)]
    public void Sum_TilesOfUnlikeRanges_EqualsThePlainTwin(int rows, int columns, int mostUnits, ulong seed)
    {
        SplittableRandom draw = new(seed);
        int count = ((rows + 7) / 8) * ((columns + 15) / 16);
        SweepTiles tiles = new(
            rows,
            columns,
            [.. Enumerable.Range(0, count).Select(_ => draw.NextInt32(60) - 30)],
            [.. Enumerable.Range(0, count).Select(_ => 16 * (1 + draw.NextInt32(mostUnits)))]
        );
        byte[] costs = new byte[tiles.VolumeLength];
        ushort[] picture = new ushort[rows * columns];
        for (int at = 0; at < costs.Length; at++)
        {
            costs[at] = (byte)draw.NextInt32(34);
        }

        for (int at = 0; at < picture.Length; at++)
        {
            picture[at] = (ushort)draw.NextInt32(50);
        }

        ushort[] sums = new ushort[costs.Length];
        SumKeeper keeper = new(tiles, sums);
        new PathAggregation(tiles, 2, 22, 10).Sum(costs, picture, new byte[costs.Length], ref keeper);
        Assert.Equal(Plain(costs, picture, tiles), sums);
    }

    [Fact]
    public void Sum_StoppedAtTheFirstSum_EndsWithinARow()
    {
        SweepTiles tiles = new(40, 32, new int[10], [.. Enumerable.Repeat(16, 10)]);
        using CancellationTokenSource stop = new();
        List<int> rows = [];
        Assert.ThrowsAny<OperationCanceledException>(() =>
        {
            StopAtOnce taker = new(stop, rows);
            new PathAggregation(tiles, 2, 22, 10).Sum(
                new byte[tiles.VolumeLength],
                new ushort[40 * 32],
                new byte[tiles.VolumeLength],
                ref taker,
                stop.Token
            );
        });
        Assert.Equal([39], rows.Distinct());
    }

    private readonly struct StopAtOnce(CancellationTokenSource stop, List<int> rows) : ISumTaker
    {
        public void Take(int row, int column, ReadOnlySpan<ushort> sums)
        {
            rows.Add(row);
            stop.Cancel();
        }
    }

    private readonly struct SumKeeper(SweepTiles tiles, ushort[] all) : ISumTaker
    {
        public void Take(int row, int column, ReadOnlySpan<ushort> sums) =>
            sums.CopyTo(all.AsSpan(tiles.OffsetOf(tiles.TileOf(row, column), row, column)));
    }

    /// <summary>The recursion of the source, path by path, levels by their number.</summary>
    private static ushort[] Plain(byte[] costs, ushort[] picture, SweepTiles tiles)
    {
        const int Far = 0x3fff;
        ushort[] sums = new ushort[costs.Length];
        foreach ((int dr, int dc) in new[] { (0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (1, -1), (-1, 1), (-1, -1) })
        {
            Dictionary<(int Row, int Column, int Level), int> path = [];
            for (int line = 0; line < tiles.Rows; line++)
            {
                int row = dr < 0 ? tiles.Rows - 1 - line : line;
                for (int place = 0; place < tiles.Columns; place++)
                {
                    int column = dc < 0 ? tiles.Columns - 1 - place : place;
                    int tile = tiles.TileOf(row, column);
                    (int r, int c) = (row - dr, column - dc);
                    bool first = r < 0 || c < 0 || r >= tiles.Rows || c >= tiles.Columns;
                    int from = first ? 0 : tiles.TileOf(r, c);
                    int least = first
                        ? 0
                        : Enumerable
                            .Range(tiles.FirstLevels[from], tiles.Levels[from])
                            .Min(level => path[(r, c, level)]);
                    for (int k = 0; k < tiles.Levels[tile]; k++)
                    {
                        int level = tiles.FirstLevels[tile] + k;
                        int at = tiles.OffsetOf(tile, row, column) + k;
                        int value = costs[at];
                        if (!first)
                        {
                            float large =
                                22
                                / (
                                    1
                                    + (
                                        Math.Abs(
                                            (float)picture[(row * tiles.Columns) + column]
                                                - picture[(r * tiles.Columns) + c]
                                        ) * (1 / 10f)
                                    )
                                );
                            int best = least + (large > 4 ? (int)large : 4);
                            best = Math.Min(best, path.GetValueOrDefault((r, c, level), Far));
                            best = Math.Min(best, path.GetValueOrDefault((r, c, level - 1), Far) + 2);
                            best = Math.Min(best, path.GetValueOrDefault((r, c, level + 1), Far) + 2);
                            value += best - least;
                        }

                        path[(row, column, level)] = value;
                        sums[at] += (ushort)value;
                    }
                }
            }
        }

        return sums;
    }
}
