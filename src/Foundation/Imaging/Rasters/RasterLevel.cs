using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>One resolution of a raster file: its size, and where and how its blocks are stored.</summary>
public sealed class RasterLevel
{
    private const long MostBlockBytes = 256 << 20;

    private readonly TiffFile file;
    private readonly long[] offsets;
    private readonly long[] byteCounts;

    private RasterLevel(TiffFile file, TiffDirectory directory)
    {
        this.file = file;
        Rows = Size(directory, TiffTags.ImageLength, "rows");
        Columns = Size(directory, TiffTags.ImageWidth, "columns");
        long bands = directory.Integer(TiffTags.SamplesPerPixel) ?? 1;
        BandCount = bands is >= 1 and <= 4096
            ? (int)bands
            : throw file.Damaged($"it claims {bands} bands (1 to 4096 are read).");
        Type = TypeOf(directory);
        Compression = (TiffCompression)(directory.Integer(TiffTags.Compression) ?? 1);
        Predictor = (int)(directory.Integer(TiffTags.Predictor) ?? 1);
        CheckCoding(directory);
        IsTiled = directory.Has(TiffTags.TileWidth) || directory.Has(TiffTags.TileOffsets);
        BlockColumns = IsTiled ? Size(directory, TiffTags.TileWidth, "columns in a tile") : Columns;
        BlockRows = IsTiled
            ? Size(directory, TiffTags.TileLength, "rows in a tile")
            : (int)Math.Clamp(directory.Integer(TiffTags.RowsPerStrip) ?? Rows, 1, Rows);
        SamplesSideBySide = directory.Integer(TiffTags.PlanarConfiguration) == 2 ? 1 : BandCount;
        if ((decimal)BlockColumns * BlockRows * SamplesSideBySide * SampleTypes.BytesOf(Type) > MostBlockBytes)
        {
            throw Unsupported(
                FormattableString.Invariant(
                    $"a block of {BlockRows} rows × {BlockColumns} columns takes more than {MostBlockBytes >> 20} MiB"
                )
            );
        }

        BlocksAcross = ((Columns - 1) / BlockColumns) + 1;
        BlocksDown = ((Rows - 1) / BlockRows) + 1;
        long blocks = (long)BlocksAcross * BlocksDown * (BandCount / SamplesSideBySide);
        offsets = directory.Integers(IsTiled ? TiffTags.TileOffsets : TiffTags.StripOffsets);
        byteCounts = directory.Integers(IsTiled ? TiffTags.TileByteCounts : TiffTags.StripByteCounts);
        if (offsets.Length < blocks || byteCounts.Length < blocks)
        {
            throw file.Damaged(
                FormattableString.Invariant(
                    $"{blocks} blocks are needed, but {offsets.Length} places and {byteCounts.Length} lengths are listed."
                )
            );
        }
    }

    public int Rows { get; }

    public int Columns { get; }

    public int BandCount { get; }

    public SampleType Type { get; }

    /// <summary>True for tiles, false for strips of whole rows.</summary>
    public bool IsTiled { get; }

    /// <summary>Rows of a block; windows that follow blocks are read fastest.</summary>
    public int BlockRows { get; }

    public int BlockColumns { get; }

    /// <summary>Bands stored side by side in a block: all, or 1 when each band has blocks of its own.</summary>
    public int SamplesSideBySide { get; }

    public TiffCompression Compression { get; }

    internal int Predictor { get; }

    internal int BlocksAcross { get; }

    internal int BlocksDown { get; }

    internal int BytesOfBlockRow => BlockColumns * SamplesSideBySide * SampleTypes.BytesOf(Type);

    internal static RasterLevel Of(TiffFile file, TiffDirectory directory) => new(file, directory);

    internal int IndexOf(int plane, int blockRow, int blockColumn) =>
        (((plane * BlocksDown) + blockRow) * BlocksAcross) + blockColumn;

    /// <summary>Rows a block holds: the last strip is short, the last tile is padded.</summary>
    internal int RowsStored(int blockRow) => IsTiled ? BlockRows : Math.Min(BlockRows, Rows - (blockRow * BlockRows));

    internal long OffsetOf(int block) => offsets[block];

    internal long ByteCountOf(int block) => byteCounts[block];

    private int Size(TiffDirectory directory, int tag, string what) =>
        directory.Integer(tag) is { } value and >= 1 and <= int.MaxValue
            ? (int)value
            : throw file.Damaged(FormattableString.Invariant($"it claims {directory.Integer(tag) ?? 0} {what}."));

    private SampleType TypeOf(TiffDirectory directory)
    {
        long bits = Uniform(directory, TiffTags.BitsPerSample, 1);
        long format = Uniform(directory, TiffTags.SampleFormat, 1);
        return (format, bits) switch
        {
            (1 or 4, 8) => SampleType.Byte,
            (1 or 4, 16) => SampleType.UInt16,
            (1 or 4, 32) => SampleType.UInt32,
            (1 or 4, 64) => SampleType.UInt64,
            (2, 8) => SampleType.SByte,
            (2, 16) => SampleType.Int16,
            (2, 32) => SampleType.Int32,
            (2, 64) => SampleType.Int64,
            (3, 16) => SampleType.Float16,
            (3, 32) => SampleType.Float32,
            (3, 64) => SampleType.Float64,
            _ => throw Unsupported(FormattableString.Invariant($"its numbers have {bits} bits of format {format}")),
        };
    }

    private long Uniform(TiffDirectory directory, int tag, long absent)
    {
        long[] values = directory.Integers(tag);
        return values.Length == 0 ? absent
            : Array.TrueForAll(values, value => value == values[0]) ? values[0]
            : throw Unsupported(FormattableString.Invariant($"its bands differ in kind (tag {tag})"));
    }

    private void CheckCoding(TiffDirectory directory)
    {
        if (!TiffDecompression.IsKnown(Compression))
        {
            throw Unsupported(FormattableString.Invariant($"its compression is number {(int)Compression}"));
        }

        if ((directory.Integer(TiffTags.FillOrder) ?? 1) != 1)
        {
            throw Unsupported("its bits run backwards");
        }

        bool predictorHolds = Predictor switch
        {
            1 => true,
            2 => Type != SampleType.Float16 || SampleTypes.BytesOf(Type) == 2,
            3 => SampleTypes.IsFloatingPoint(Type),
            _ => false,
        };
        if (!predictorHolds)
        {
            throw Unsupported(FormattableString.Invariant($"its predictor is number {Predictor} on {Type}"));
        }
    }

    private InputProblemException Unsupported(string what) =>
        new(
            file.Name,
            $"{what}, which is not read here.",
            "Convert it to a plain or Deflate GeoTIFF of 8 to 64-bit numbers, tiled."
        );
}
