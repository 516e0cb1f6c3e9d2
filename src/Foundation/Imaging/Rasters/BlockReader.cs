namespace Hillrow.Imaging;

/// <summary>Reads and decodes single blocks; holds the buffers for that. One for each thread at work.</summary>
internal sealed class BlockReader(TiffFile file)
{
    private byte[] encoded = [];
    private byte[] decoded = [];
    private byte[] scratch = [];

    /// <summary>
    /// Some rows of a block, decompressed; each is to be <see cref="Restore"/>d once. Empty when the block is not stored
    /// (holds no data). Valid until the next call.
    /// </summary>
    /// <param name="plane">Band, or 0 when bands lie side by side.</param>
    /// <param name="firstRow">First row within the block.</param>
    /// <param name="rows">Rows wanted; rows before the first may be decoded too, but only these are given back.</param>
    /// <exception cref="Hillrow.Numerics.InputProblemException">The block is cut short or damaged.</exception>
    public Span<byte> Read(RasterLevel level, int plane, int blockRow, int blockColumn, int firstRow, int rows)
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

        return plain[(firstRow * bytesOfRow)..];
    }

    /// <summary>One row of a block as samples in this machine's byte order. Row by row, so that it stays in the nearest cache.</summary>
    /// <param name="row">A row of <see cref="Read"/>'s; overwritten.</param>
    /// <returns>Valid until the next call.</returns>
    public Span<byte> Restore(RasterLevel level, Span<byte> row) =>
        TiffPredictor.Undo(
            level.Compression == TiffCompression.None ? TiffPredictor.None : level.Predictor,
            row,
            SampleTypes.BytesOf(level.Type),
            level.SamplesSideBySide,
            file.IsBigEndian == BitConverter.IsLittleEndian,
            Sized(ref scratch, row.Length)
        );

    private static Span<byte> Sized(ref byte[] buffer, int length)
    {
        if (buffer.Length < length)
        {
            buffer = GC.AllocateUninitializedArray<byte>(length);
        }

        return buffer.AsSpan(0, length);
    }

    private Hillrow.Numerics.InputProblemException CutShort(int block, long needed, long got) =>
        file.Damaged(
            FormattableString.Invariant($"block {block} needs {needed} bytes but only {got} can be had of it.")
        );
}
