using System.Buffers.Binary;
using System.Runtime.InteropServices;
using Xunit;

namespace Hillrow.Imaging.Tests.Tiff.Codecs;

/// <summary>Undoing both predictors against the format's own words, sample by sample.</summary>
public sealed class TiffPredictorTests
{
    public static TheoryData<int, int, int, bool> Rows()
    {
        TheoryData<int, int, int, bool> rows = [];
        foreach (int sampleBytes in (int[])[1, 2, 4, 8])
        {
            foreach (int stride in (int[])[1, 2, 5, 40])
            {
                foreach (int cells in (int[])[1, 3, 31, 32, 67])
                {
                    rows.Add(sampleBytes, stride, cells, false);
                    rows.Add(sampleBytes, stride, cells, true);
                }
            }
        }

        return rows;
    }

    [Theory]
    [MemberData(nameof(Rows))]
    public void Undo_Horizontal_SumsEachBandAlongTheRow(int sampleBytes, int stride, int cells, bool isForeign)
    {
        byte[] row = new byte[sampleBytes * stride * cells];
        new Random(sampleBytes + (7 * stride) + (31 * cells)).NextBytes(row);
        byte[] expected = (byte[])row.Clone();
        if (isForeign)
        {
            for (int at = 0; at < expected.Length; at += sampleBytes)
            {
                expected.AsSpan(at, sampleBytes).Reverse();
            }
        }

        Span<byte> whole = stackalloc byte[8];
        for (int sample = stride; sample < stride * cells; sample++)
        {
            ulong sum = unchecked(
                Sample(expected, sample, sampleBytes) + Sample(expected, sample - stride, sampleBytes)
            );
            BinaryPrimitives.WriteUInt64LittleEndian(whole, sum);
            whole[..sampleBytes].CopyTo(expected.AsSpan(sample * sampleBytes));
        }

        Span<byte> undone = TiffPredictor.Undo(
            TiffPredictor.Horizontal,
            row,
            sampleBytes,
            stride,
            isForeign,
            new byte[row.Length]
        );

        Assert.Equal(expected, undone.ToArray());
    }

    [Theory]
    [MemberData(nameof(Rows))]
    public void Undo_FloatingPoint_JoinsPlanesMostSignificantFirst(
        int sampleBytes,
        int stride,
        int cells,
        bool isForeign
    )
    {
        byte[] row = new byte[sampleBytes * stride * cells];
        new Random(sampleBytes + (7 * stride) + (31 * cells)).NextBytes(row);
        byte[] sums = (byte[])row.Clone();
        for (int at = stride; at < sums.Length; at++)
        {
            sums[at] = unchecked((byte)(sums[at] + sums[at - stride]));
        }

        int samples = stride * cells;
        byte[] expected = new byte[row.Length];
        for (int at = 0; at < row.Length; at++)
        {
            expected[(at % samples * sampleBytes) + sampleBytes - 1 - (at / samples)] = sums[at];
        }

        Span<byte> undone = TiffPredictor.Undo(
            TiffPredictor.FloatingPoint,
            row,
            sampleBytes,
            stride,
            isForeign,
            new byte[row.Length]
        );

        Assert.Equal(expected, undone.ToArray());
    }

    [Fact]
    public void Undo_None_GivesTheRow()
    {
        byte[] row = MemoryMarshal.AsBytes<ushort>([1, 2, 770]).ToArray();

        Assert.Equal(row, TiffPredictor.Undo(TiffPredictor.None, row, 2, 1, false, new byte[6]).ToArray());
    }

    private static ulong Sample(ReadOnlySpan<byte> row, int sample, int sampleBytes)
    {
        ulong value = 0;
        for (int at = sampleBytes - 1; at >= 0; at--)
        {
            value = (value << 8) | row[(sample * sampleBytes) + at];
        }

        return value;
    }
}
