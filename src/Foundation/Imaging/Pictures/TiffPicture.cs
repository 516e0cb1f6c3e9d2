using System.Buffers;
using System.Runtime.InteropServices;

namespace Hillrow.Imaging;

/// <summary>
/// Pictures in TIFF and BigTIFF: unsigned samples of 1 … 16 (packed, or each in 16) and 32 bits, signed of 8, 16, 32,
/// floats of 16, 32, 64; plain, LZW, Deflate, PackBits; predictors 1, 2, 3; strips and tiles; bands interleaved or
/// apart; many pages; both byte and both bit orders.
/// </summary>
internal sealed class TiffPicture : PictureFile
{
    /// <summary>Plain blocks are read in pieces of this size, so that a page in one strip needs no second copy.</summary>
    private const int PieceBytes = 256 << 10;

    private readonly TiffFile file;
    private readonly List<TiffLayout> layouts = [];

    public TiffPicture(TiffFile file, PictureLimits limits)
    {
        this.file = file;
        foreach (TiffDirectory page in file.Directories)
        {
            // Bit 0: a reduced copy; bit 2: a mask. Bit 1 marks "a page of several" and is a picture.
            long kind = page.Integer(TiffTags.NewSubfileType) ?? 0;
            if ((kind & 5) != 0 && layouts.Count > 0)
            {
                continue;
            }

            TiffLayout layout = TiffLayout.Of(file, page, layouts.Count, limits);
            CheckSize(file.Name, layout.Info, limits);
            layouts.Add(layout);
        }

        Pages = [.. layouts.Select(layout => layout.Info)];
    }

    public override string Name => file.Name;

    public override IReadOnlyList<PictureInfo> Pages { get; }

    protected override void Dispose(bool disposing) => file.Dispose();

    protected override void Decode(int page, Span<ushort> counts, Span<float> values)
    {
        TiffLayout layout = layouts[page];
        if (ReadsStraight(layout, counts.IsEmpty))
        {
            ReadStraight(layout, counts.IsEmpty ? MemoryMarshal.AsBytes(values) : MemoryMarshal.AsBytes(counts));
            return;
        }

        // Predictors and unpacking work on one block, or one piece of a plain block, at a time.
        int rowBytes = layout.WideRowBytes;
        int pieceRows =
            layout.Compression == TiffCompression.None ? Math.Max(1, PieceBytes / rowBytes) : layout.BlockRows;
        pieceRows = Math.Min(pieceRows, layout.BlockRows);
        byte[] raw = ArrayPool<byte>.Shared.Rent(checked(rowBytes * pieceRows));
        byte[] scratch = ArrayPool<byte>.Shared.Rent(checked(4 * layout.BlockColumns * layout.Interleaved) + rowBytes);
        try
        {
            for (int block = 0; block < layout.BlocksPerPlane * (layout.Info.Bands / layout.Interleaved); block++)
            {
                DecodeBlock(layout, block, pieceRows, raw, scratch, counts, values);
            }
        }
        finally
        {
            ArrayPool<byte>.Shared.Return(raw);
            ArrayPool<byte>.Shared.Return(scratch);
        }
    }

    /// <summary>True when the file's bytes are the target's bytes, but for their order.</summary>
    private static bool ReadsStraight(TiffLayout layout, bool toFloats) =>
        layout is { Compression: TiffCompression.None, Tiled: false, Interleaved: 1, BitsReversed: false }
        && (
            toFloats
                ? layout.Info is { Form: SampleForm.Float, BitsPerSample: 32 }
                : layout.Info is { Form: SampleForm.Unsigned, BitsPerSample: 16 }
        );

    private void ReadStraight(TiffLayout layout, Span<byte> target)
    {
        int place = 0;
        int blocks = layout.BlocksPerPlane * layout.Info.Bands;
        for (int block = 0; block < blocks; )
        {
            // Strips usually follow each other without a gap: one read for the lot.
            int start = block;
            long length = 0;
            do
            {
                length += (long)layout.RowBytes * layout.RowsOf(block % layout.BlocksPerPlane);
                block++;
            } while (block < blocks && layout.Offsets[block] == layout.Offsets[start] + length);

            Span<byte> part = target.Slice(place, (int)length);
            file.ReadExactly(layout.Offsets[start], part, BlockName(layout, start));
            if (file.IsBigEndian)
            {
                TiffPredictor.SwapBytes(part, layout.Info.BitsPerSample / 8);
            }

            place += (int)length;
        }
    }

    private void DecodeBlock(
        TiffLayout layout,
        int block,
        int pieceRows,
        byte[] raw,
        byte[] scratch,
        Span<ushort> counts,
        Span<float> values
    )
    {
        int within = block % layout.BlocksPerPlane;
        int firstRow = within / layout.BlocksAcross * layout.BlockRows;
        int firstColumn = within % layout.BlocksAcross * layout.BlockColumns;
        int firstBand = block / layout.BlocksPerPlane;
        int storedRows = layout.RowsOf(within / layout.BlocksAcross);
        int usedRows = Math.Min(storedRows, layout.Info.Rows - firstRow);
        int usedColumns = Math.Min(layout.BlockColumns, layout.Info.Columns - firstColumn);
        int bits = StoredBits(layout, storedRows, layout.ByteCounts[block]);
        int rowBytes = bits == layout.Info.BitsPerSample ? layout.RowBytes : layout.WideRowBytes;
        if (layout.Compression != TiffCompression.None)
        {
            (bits, rowBytes) = Inflate(layout, block, storedRows, raw);
        }

        for (int piece = 0; piece < usedRows; piece += pieceRows)
        {
            int rows = Math.Min(pieceRows, usedRows - piece);
            if (layout.Compression == TiffCompression.None)
            {
                Span<byte> bytes = raw.AsSpan(0, rows * rowBytes);
                file.ReadExactly(layout.Offsets[block] + ((long)piece * rowBytes), bytes, BlockName(layout, block));
                Reverse(layout, bytes);
            }

            for (int row = 0; row < rows; row++)
            {
                Span<byte> bytes = raw.AsSpan(row * rowBytes, rowBytes);
                Restore(layout, bits, bytes, scratch);
                int target = ((firstRow + piece + row) * layout.Info.Columns) + firstColumn;
                Spread(layout, bits, bytes, scratch, firstBand, target, usedColumns, counts, values);
            }
        }
    }

    /// <summary>Depths of 9 … 15 bits are stored packed or each in 16 bits; the block's length tells which.</summary>
    private static int StoredBits(TiffLayout layout, int rows, long bytes)
    {
        int bits = layout.Info.BitsPerSample;
        bool apart = layout.WideRowBytes != layout.RowBytes && bytes >= (long)layout.WideRowBytes * rows;
        // Differences are defined for whole bytes only, so they too tell that samples stand apart.
        return bits is > 8 and < 16 && (apart || IsDifferenced(layout)) ? 16 : bits;
    }

    private static bool IsDifferenced(TiffLayout layout) =>
        layout.Predictor == TiffPredictor.Horizontal
        && layout.Compression is not (TiffCompression.None or TiffCompression.PackBits);

    private (int Bits, int RowBytes) Inflate(TiffLayout layout, int block, int rows, byte[] raw)
    {
        int wide = layout.WideRowBytes * rows;
        // No compression here makes data twice as large; a longer claim is not worth reading.
        int length = (int)Math.Min(layout.ByteCounts[block], (2L * wide) + 1024);
        byte[] encoded = ArrayPool<byte>.Shared.Rent(length);
        try
        {
            Span<byte> bytes = encoded.AsSpan(0, length);
            file.ReadExactly(layout.Offsets[block], bytes, BlockName(layout, block));
            Reverse(layout, bytes);
            int got = TiffDecompression.Decode(layout.Compression, bytes, raw.AsSpan(0, wide));
            int bits = StoredBits(layout, rows, got);
            int rowBytes = bits == layout.Info.BitsPerSample ? layout.RowBytes : layout.WideRowBytes;
            return got >= rowBytes * rows
                ? (bits, rowBytes)
                : throw file.Damaged(
                    FormattableString.Invariant(
                        $"{BlockName(layout, block)} holds {got} of {rowBytes * rows} bytes of pixels."
                    )
                );
        }
        finally
        {
            ArrayPool<byte>.Shared.Return(encoded);
        }
    }

    /// <summary>Brings a row into this machine's byte order and undoes the predictor.</summary>
    private void Restore(TiffLayout layout, int bits, Span<byte> row, byte[] scratch)
    {
        bool predicted = layout.Compression is not (TiffCompression.None or TiffCompression.PackBits);
        if (IsDifferenced(layout) && bits is not (8 or 16 or 32 or 64))
        {
            throw file.Damaged(FormattableString.Invariant($"it states a predictor on packed {bits}-bit samples."));
        }

        Span<byte> restored = TiffPredictor.Undo(
            predicted ? layout.Predictor : TiffPredictor.None,
            row,
            bits / 8,
            layout.Interleaved,
            file.IsBigEndian && bits is (16 or 32 or 64),
            scratch
        );
        if (restored != row)
        {
            restored.CopyTo(row);
        }
    }

    /// <summary>Writes one restored row into the planes of its bands.</summary>
    private static void Spread(
        TiffLayout layout,
        int bits,
        ReadOnlySpan<byte> row,
        byte[] scratch,
        int firstBand,
        int target,
        int columns,
        Span<ushort> counts,
        Span<float> values
    )
    {
        int plane = layout.Info.Rows * layout.Info.Columns;
        int samples = columns * layout.Interleaved;
        if (layout.Info.IsCounts)
        {
            ReadOnlySpan<ushort> unpacked;
            if (bits == 16)
            {
                unpacked = MemoryMarshal.Cast<byte, ushort>(row)[..samples];
            }
            else
            {
                Span<ushort> room = MemoryMarshal.Cast<byte, ushort>(scratch.AsSpan())[..samples];
                SampleUnpacking.Packed(row, bits, room);
                unpacked = room;
            }

            for (int band = 0; band < layout.Interleaved; band++)
            {
                int place = ((firstBand + band) * plane) + target;
                if (counts.IsEmpty)
                {
                    SampleUnpacking.Pick(unpacked, band, layout.Interleaved, values.Slice(place, columns));
                }
                else
                {
                    SampleUnpacking.Pick(unpacked, band, layout.Interleaved, counts.Slice(place, columns));
                }
            }

            return;
        }

        Span<float> floats = MemoryMarshal.Cast<byte, float>(scratch.AsSpan())[..samples];
        SampleUnpacking.ToFloats(row, layout.Info.Form, bits, floats);
        for (int band = 0; band < layout.Interleaved; band++)
        {
            int place = ((firstBand + band) * plane) + target;
            SampleUnpacking.Pick<float>(floats, band, layout.Interleaved, values.Slice(place, columns));
        }
    }

    private static void Reverse(TiffLayout layout, Span<byte> bytes)
    {
        if (!layout.BitsReversed)
        {
            return;
        }

        foreach (ref byte value in bytes)
        {
            int bits = value;
            bits = ((bits & 0xF0) >> 4) | ((bits & 0x0F) << 4);
            bits = ((bits & 0xCC) >> 2) | ((bits & 0x33) << 2);
            value = (byte)(((bits & 0xAA) >> 1) | ((bits & 0x55) << 1));
        }
    }

    private static string BlockName(TiffLayout layout, int block) =>
        FormattableString.Invariant($"{(layout.Tiled ? "tile" : "strip")} {block + 1} of page {layout.Info.Page + 1}");
}
