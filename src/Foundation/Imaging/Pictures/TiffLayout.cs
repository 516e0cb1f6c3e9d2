using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>Where the pixels of one TIFF page lie and how they are coded; checked before any memory is taken.</summary>
internal sealed class TiffLayout
{
    /// <summary>One row of a block is unpacked at once; 64 MiB is far above any picture that fits a frame.</summary>
    private const long MostRowBytes = 64 << 20;

    private TiffLayout(PictureInfo info) => Info = info;

    public PictureInfo Info { get; }

    public TiffCompression Compression { get; private init; }

    public int Predictor { get; private init; }

    public bool BitsReversed { get; private init; }

    /// <summary>Columns of a block; the picture's own for strips.</summary>
    public int BlockColumns { get; private init; }

    /// <summary>Rows of a whole block; the last strip has fewer, the last tile is padded.</summary>
    public int BlockRows { get; private init; }

    public bool Tiled { get; private init; }

    /// <summary>Interleaved samples of a pixel within a block: the bands, or 1 when each band has its own blocks.</summary>
    public int Interleaved { get; private init; }

    public int BlocksAcross { get; private init; }

    public int BlocksDown { get; private init; }

    public long[] Offsets { get; private init; } = [];

    public long[] ByteCounts { get; private init; } = [];

    public int BlocksPerPlane => BlocksAcross * BlocksDown;

    /// <summary>Bytes of one row of a block as stated, rows being padded to whole bytes.</summary>
    public int RowBytes => RowBytesOf(Info.BitsPerSample);

    /// <summary>Bytes of one row of a block when each sample takes its own 16 bits whatever the stated depth.</summary>
    public int WideRowBytes => Info.BitsPerSample is > 8 and < 16 ? RowBytesOf(16) : RowBytes;

    /// <summary>Rows that the block itself holds.</summary>
    public int RowsOf(int blockDown) => Tiled ? BlockRows : Math.Min(BlockRows, Info.Rows - (blockDown * BlockRows));

    public static TiffLayout Of(TiffFile file, TiffDirectory page, int number, PictureLimits limits)
    {
        PictureInfo info = ReadInfo(file, page, number);
        TiffCompression compression = (TiffCompression)(page.Integer(TiffTags.Compression) ?? 1);
        if (!TiffDecompression.IsKnown(compression))
        {
            throw Unsupported(file, FormattableString.Invariant($"its compression is number {(int)compression}"));
        }

        if (info.Photometric == 6)
        {
            throw Unsupported(file, "its colours are stored as brightness and chroma");
        }

        int predictor = (int)(page.Integer(TiffTags.Predictor) ?? 1);
        CheckPredictor(file, info, predictor, compression);
        bool tiled = page.Has(TiffTags.TileWidth) || page.Has(TiffTags.TileOffsets);
        long columns = tiled ? page.Integer(TiffTags.TileWidth) ?? 0 : info.Columns;
        long rows = tiled ? page.Integer(TiffTags.TileLength) ?? 0 : page.Integer(TiffTags.RowsPerStrip) ?? info.Rows;
        rows = tiled ? rows : Math.Min(rows, info.Rows);
        if (columns is < 1 or > 1 << 20 || rows is < 1 or > 1 << 24)
        {
            throw file.Damaged(FormattableString.Invariant($"its blocks claim {rows} rows × {columns} columns."));
        }

        bool planar = page.Integer(TiffTags.PlanarConfiguration) == 2 && info.Bands > 1;
        long across = (info.Columns + columns - 1) / columns;
        long down = (info.Rows + rows - 1) / rows;
        long blocks = across * down * (planar ? info.Bands : 1);
        long[] offsets = page.Integers(tiled ? TiffTags.TileOffsets : TiffTags.StripOffsets);
        long[] counts = page.Integers(tiled ? TiffTags.TileByteCounts : TiffTags.StripByteCounts);
        if (
            offsets.Length < blocks
            || (counts.Length < blocks && (counts.Length > 0 || compression != TiffCompression.None))
        )
        {
            throw file.Damaged(
                FormattableString.Invariant(
                    $"page {number + 1} needs {blocks} blocks but lists {offsets.Length} places and {counts.Length} lengths."
                )
            );
        }

        TiffLayout layout = new(info)
        {
            Compression = compression,
            Predictor = predictor,
            BitsReversed = page.Integer(TiffTags.FillOrder) == 2,
            BlockColumns = (int)columns,
            BlockRows = (int)rows,
            Tiled = tiled,
            Interleaved = planar ? 1 : info.Bands,
            BlocksAcross = (int)across,
            BlocksDown = (int)down,
            Offsets = offsets,
            ByteCounts = counts,
        };
        if (columns * layout.Interleaved * Math.Max(info.BitsPerSample, 16) / 8 > MostRowBytes)
        {
            throw file.Damaged(FormattableString.Invariant($"one row of a block claims {columns} columns."));
        }

        return counts.Length == 0 ? layout.WithPlainByteCounts(blocks) : layout.Checked(file, (int)blocks, limits);
    }

    private static PictureInfo ReadInfo(TiffFile file, TiffDirectory page, int number)
    {
        long columns = page.Integer(TiffTags.ImageWidth) ?? 0;
        long rows = page.Integer(TiffTags.ImageLength) ?? 0;
        long bands = page.Integer(TiffTags.SamplesPerPixel) ?? 1;
        if (columns is < 1 or > int.MaxValue || rows is < 1 or > int.MaxValue || bands is < 1 or > 4096)
        {
            throw file.Damaged(
                FormattableString.Invariant(
                    $"page {number + 1} claims {rows} rows × {columns} columns × {bands} bands."
                )
            );
        }

        long bits = Same(file, page, TiffTags.BitsPerSample, 1);
        long format = Same(file, page, TiffTags.SampleFormat, 1);
        SampleForm? form = (format, bits) switch
        {
            (1 or 4, >= 1 and <= 16 or 32) => SampleForm.Unsigned,
            (2, 8 or 16 or 32) => SampleForm.Signed,
            (3, 16 or 32 or 64) => SampleForm.Float,
            _ => null,
        };
        long orientation = page.Integer(TiffTags.Orientation) ?? 1;
        return new PictureInfo(
            number,
            (int)rows,
            (int)columns,
            (int)bands,
            (int)bits,
            form
                ?? throw Unsupported(
                    file,
                    FormattableString.Invariant($"its samples have {bits} bits of format {format}")
                ),
            orientation is >= 1 and <= 8 ? (int)orientation : 1,
            (int)Math.Clamp(page.Integer(TiffTags.PhotometricInterpretation) ?? 1, 0, ushort.MaxValue)
        );
    }

    private static long Same(TiffFile file, TiffDirectory page, int tag, long absent)
    {
        long[] values = page.Integers(tag);
        if (values.Length == 0)
        {
            return absent;
        }

        return Array.TrueForAll(values, value => value == values[0])
            ? values[0]
            : throw Unsupported(file, FormattableString.Invariant($"its bands differ in tag {tag}"));
    }

    private static void CheckPredictor(TiffFile file, PictureInfo info, int predictor, TiffCompression compression)
    {
        bool fits = predictor switch
        {
            TiffPredictor.None => true,
            TiffPredictor.Horizontal => info.BitsPerSample is >= 8 and <= 16 or 32 or 64,
            TiffPredictor.FloatingPoint => info.Form == SampleForm.Float,
            _ => false,
        };
        // Without LZW or Deflate the tag has no meaning (TIFF 6.0, section 14) and is passed over.
        if (!fits && compression is not (TiffCompression.None or TiffCompression.PackBits))
        {
            throw Unsupported(
                file,
                FormattableString.Invariant($"its predictor is number {predictor} on {info.BitsPerSample}-bit samples")
            );
        }
    }

    private TiffLayout WithPlainByteCounts(long blocks)
    {
        long[] counts = new long[blocks];
        for (int i = 0; i < counts.Length; i++)
        {
            counts[i] = (long)RowBytes * RowsOf(i % BlocksPerPlane / BlocksAcross);
        }

        return new TiffLayout(Info)
        {
            Compression = Compression,
            Predictor = Predictor,
            BitsReversed = BitsReversed,
            BlockColumns = BlockColumns,
            BlockRows = BlockRows,
            Tiled = Tiled,
            Interleaved = Interleaved,
            BlocksAcross = BlocksAcross,
            BlocksDown = BlocksDown,
            Offsets = Offsets,
            ByteCounts = counts,
        };
    }

    private TiffLayout Checked(TiffFile file, int blocks, PictureLimits limits)
    {
        long sum = 0;
        for (int i = 0; i < blocks; i++)
        {
            long count = ByteCounts[i];
            long needed = (long)RowBytes * RowsOf(i % BlocksPerPlane / BlocksAcross);
            sum += Math.Clamp(count, 0, file.Length + 1);
            if (count < 0 || needed > TiffDecompression.MostDecodedBytes(Compression, count) || sum > file.Length)
            {
                throw file.Damaged(
                    FormattableString.Invariant(
                        $"block {i + 1} of page {Info.Page + 1} needs {needed} bytes of pixels but is stored in {count} bytes of a file of {file.Length}."
                    )
                );
            }

            long room = (long)WideRowBytes * RowsOf(i % BlocksPerPlane / BlocksAcross);
            if (Compression != TiffCompression.None && room > limits.BlockBytes)
            {
                throw file.Damaged(
                    FormattableString.Invariant(
                        $"one block claims {room} bytes, above the limit of {limits.BlockBytes}."
                    )
                );
            }
        }

        return this;
    }

    private int RowBytesOf(int bits) => (int)((((long)BlockColumns * Interleaved * bits) + 7) / 8);

    private static InputProblemException Unsupported(TiffFile file, string what) =>
        new(
            file.Name,
            $"{what}, which is not read here.",
            "Convert it to plain, LZW, Deflate or PackBits TIFF of 8 to 16-bit or float samples, or set the camera so."
        );
}
