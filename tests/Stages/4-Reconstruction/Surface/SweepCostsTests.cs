using System.Numerics;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class SweepCostsTests
{
    [Theory]
    [InlineData(24, 48, 3, 1ul)]
    [InlineData(13, 37, 1, 2ul)]
    [InlineData(16, 32, 2, 3ul)]
    public void Fill_RandomPictures_EqualsThePlainTwin(int rows, int columns, int partners, ulong seed)
    {
        SplittableRandom draw = new(seed);
        BitsPicture own = Bits(draw, rows, columns, 1);
        int count = ((rows + 7) / 8) * ((columns + 15) / 16);
        SweepTiles tiles = new(
            rows,
            columns,
            [.. Enumerable.Range(0, count).Select(_ => draw.NextInt32(20) - 10)],
            [.. Enumerable.Range(0, count).Select(_ => 16 * (1 + draw.NextInt32(2)))]
        );
        SweepPartner[] compared =
        [
            .. Enumerable
                .Range(0, partners)
                .Select(index => new SweepPartner(
                    Bits(draw, rows, columns, 2),
                    (column, row, level) => ((0.5 * level) + (0.01 * column), index + (0.02 * row))
                )),
        ];
        byte[] costs = new byte[tiles.VolumeLength];
        SweepCosts.Fill(own, compared, tiles, costs);
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                int tile = tiles.TileOf(row, column);
                for (int k = 0; k < tiles.Levels[tile]; k++)
                {
                    Assert.Equal(
                        Plain(own, compared, row, column, tiles.FirstLevels[tile] + k),
                        costs[tiles.OffsetOf(tile, row, column) + k]
                    );
                }
            }
        }
    }

    [Fact]
    public void Fill_StoppedInTheFirstTile_EndsWithinARowOfTiles()
    {
        SplittableRandom draw = new(1);
        SweepTiles tiles = new(24, 32, new int[6], [.. Enumerable.Repeat(16, 6)]);
        using CancellationTokenSource stop = new();
        List<double> rows = [];
        SweepPartner partner = new(
            Bits(draw, 24, 32, 2),
            (_, row, _) =>
            {
                rows.Add(row);
                stop.Cancel();
                return (0, 0);
            }
        );
        Assert.ThrowsAny<OperationCanceledException>(() =>
            SweepCosts.Fill(Bits(draw, 24, 32, 1), [partner], tiles, new byte[tiles.VolumeLength], stop.Token)
        );
        Assert.Equal([4.0], rows.Distinct());
    }

    private static byte Plain(BitsPicture own, SweepPartner[] partners, int row, int column, int level)
    {
        // The shift of a tile is that of its middle, to half a column and a whole row.
        int top = row / 8 * 8;
        int left = column / 16 * 16;
        List<int> unlike = [];
        foreach (SweepPartner partner in partners)
        {
            (double columns, double rows) = partner.ShiftOf(left + 8, top + 4, level);
            int twice = (int)Math.Floor((2 * columns) + 0.5);
            int r = row + (int)Math.Floor(rows + 0.5);
            int c = column + (twice >> 1);
            bool inside = r >= 0 && c >= 0 && r < own.Rows && c < own.Columns;
            uint theirs = inside
                ? partner.Partner.Bits[partner.Partner.IndexOf(twice & 1, 0, 0) + (r * partner.Partner.Stride) + c]
                : BitsPicture.Unseen;
            uint ours = own.Bits[own.IndexOf(0, 0, 0) + (row * own.Stride) + column];
            if (((ours | theirs) & BitsPicture.Unseen) == 0)
            {
                unlike.Add(BitOperations.PopCount(ours ^ theirs));
            }
        }

        unlike.Sort();
        return (byte)(
            unlike.Count == 0 ? SweepCosts.UnknownCost
            : unlike.Count == 1 ? unlike[0] + 1
            : (unlike[0] + unlike[1] + 1) / 2
        );
    }

    private static BitsPicture Bits(SplittableRandom draw, int rows, int columns, int variants)
    {
        uint[] bits = new uint[variants * BitsPicture.LengthOf(rows, columns)];
        BitsPicture picture = new(rows, columns, bits, variants == 2 ? HalfStep.Columns : HalfStep.None);
        Array.Fill(bits, BitsPicture.Unseen);
        for (int variant = 0; variant < variants; variant++)
        {
            for (int row = 0; row < rows; row++)
            {
                for (int column = 0; column < columns; column++)
                {
                    uint value = (uint)(draw.NextUInt64() >> 32) & 0x7fff7fff;
                    bits[picture.IndexOf(variant, 0, 0) + (row * picture.Stride) + column] =
                        draw.NextInt32(9) == 0 ? BitsPicture.Unseen : value;
                }
            }
        }

        return picture;
    }
}
