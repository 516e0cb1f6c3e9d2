using System.Runtime.InteropServices;

namespace Hillrow.Imaging;

/// <summary>Reads and decodes single blocks; holds the buffers for that. One for each thread at work.</summary>
internal sealed class BlockReader(TiffFile file)
{
    private byte[] encoded = [];
    private byte[] decoded = [];
    private byte[] scratch = [];

    /// <summary>Some rows of a block as samples in this machine's byte order; empty when the block is not stored (holds no data).</summary>
    /// <param name="plane">Band, or 0 when bands lie side by side.</param>
    /// <param name="firstRow">First row within the block.</param>
    /// <param name="rows">Rows wanted; rows before the first may be decoded too, but only these are given back.</param>
    /// <exception cref="Hillrow.Numerics.InputProblemException">The block is cut short or damaged.</exception>
    public ReadOnlySpan<byte> Read(RasterLevel level, int plane, int blockRow, int blockColumn, int firstRow, int rows)
    {
        int block = level.IndexOf(plane, blockRow, blockColumn);
        long count = level.ByteCountOf(block);
        if (count == 0 && level.OffsetOf(block) == 0)
        {
            return default;
        }

        int bytesOfRow = level.BytesOfBlockRow;
        if (level.Compression == TiffCompression.None)
        {
            Span<byte> wanted = Sized(ref decoded, rows * bytesOfRow);
            if (count < (long)bytesOfRow * (firstRow + rows))
            {
                throw CutShort(block, (long)bytesOfRow * (firstRow + rows), count);
            }

            file.ReadExactly(level.OffsetOf(block) + ((long)firstRow * bytesOfRow), wanted, $"block {block}");
            SwapIfForeign(level, wanted);
            return wanted;
        }

        int needed = (firstRow + rows) * bytesOfRow;
        if (
            count < 0
            || count > file.Length
            || count > Array.MaxLength
            || needed > TiffDecompression.MostDecodedBytes(level.Compression, count)
        )
        {
            throw CutShort(block, needed, count);
        }

        Span<byte> stored = Sized(ref encoded, (int)count);
        file.ReadExactly(level.OffsetOf(block), stored, $"block {block}");
        Span<byte> plain = Sized(ref decoded, needed);
        int got = TiffDecompression.Decode(level.Compression, stored, plain);
        if (got < needed)
        {
            throw CutShort(block, needed, got);
        }

        return Unpredict(level, plain, bytesOfRow)[(firstRow * bytesOfRow)..];
    }

    private Span<byte> Unpredict(RasterLevel level, Span<byte> plain, int bytesOfRow)
    {
        int size = SampleTypes.BytesOf(level.Type);
        int stride = level.SamplesSideBySide;
        if (level.Predictor == 3)
        {
            // Planes of bytes run from the most significant one in files of either byte order: nothing to swap.
            Span<byte> joined = Sized(ref scratch, plain.Length);
            for (int at = 0; at < plain.Length; at += bytesOfRow)
            {
                FloatingPointPredictor.Decode(plain.Slice(at, bytesOfRow), size, stride, joined.Slice(at, bytesOfRow));
            }

            return joined;
        }

        SwapIfForeign(level, plain);
        for (int at = 0; level.Predictor == 2 && at < plain.Length; at += bytesOfRow)
        {
            Span<byte> row = plain.Slice(at, bytesOfRow);
            switch (size)
            {
                case 1:
                    NeighbourDifference.Decode(row, stride);
                    break;
                case 2:
                    NeighbourDifference.Decode(MemoryMarshal.Cast<byte, ushort>(row), stride);
                    break;
                case 4:
                    NeighbourDifference.Decode(MemoryMarshal.Cast<byte, uint>(row), stride);
                    break;
                default:
                    NeighbourDifference.Decode(MemoryMarshal.Cast<byte, ulong>(row), stride);
                    break;
            }
        }

        return plain;
    }

    private void SwapIfForeign(RasterLevel level, Span<byte> samples)
    {
        if (file.IsBigEndian == BitConverter.IsLittleEndian)
        {
            TiffPredictor.SwapBytes(samples, SampleTypes.BytesOf(level.Type));
        }
    }

    private static Span<byte> Sized(ref byte[] buffer, int length)
    {
        if (buffer.Length < length)
        {
            buffer = GC.AllocateUninitializedArray<byte>(length);
        }

        return buffer.AsSpan(0, length);
    }

    private Hillrow.Numerics.InputProblemException CutShort(int block, long needed, long got) =>
        file.Damaged(FormattableString.Invariant($"block {block} needs {needed} bytes but has {got}."));
}
