using System.Collections.Concurrent;
using System.Numerics;
using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>
/// A raster in a TIFF file, ours or another program's, read window by window at any resolution. Windows may be read
/// from any number of threads at once. Memory is a few blocks for each thread (and 64 MiB of
/// strips, where a file has wide compressed ones), whatever the raster's size.
/// </summary>
/// <remarks>
/// Read: strips and tiles, bands side by side or apart, plain, LZW, Deflate, PackBits, predictors 2 and 3, integers of
/// 8 … 64 bits, floating point of 16 … 64 bits, BigTIFF, both byte orders. Everything refused is refused with an
/// <see cref="InputProblemException"/>, here or when the damaged block is reached.
/// </remarks>
public sealed class RasterFile : IDisposable
{
    private readonly TiffFile file;
    private readonly ConcurrentBag<BlockReader> readers = [];
    private readonly StripCache strips = new();

    private RasterFile(TiffFile file)
    {
        this.file = file;
        TiffDirectory first = file.Directories[0];
        Levels = FindLevels();
        GeoKeys = GeoKeys.Read(first);
        Placement = RasterPlacement.Read(first, GeoKeys.IsPoint);
        NoData = ReadNoData(first);
        RasterMetadata metadata = RasterMetadata.Read(first, BandCount);
        Bands = metadata.Bands;
        Statistics = metadata.Statistics;
        Items = metadata.Items;
        Heights = metadata.Heights ?? GeoKeys.Heights;
    }

    /// <summary>What messages call it, normally the file's path.</summary>
    public string Name => file.Name;

    /// <summary>Full resolution first, then ever coarser ones as far as the file has them.</summary>
    public IReadOnlyList<RasterLevel> Levels { get; }

    public int Rows => Levels[0].Rows;

    public int Columns => Levels[0].Columns;

    public int BandCount => Levels[0].BandCount;

    /// <summary>How numbers are stored.</summary>
    public SampleType Type => Levels[0].Type;

    public bool IsBigTiff => file.IsBigTiff;

    /// <summary>Strips decoded and kept so far; tests see by it that none is decoded twice.</summary>
    internal int StripsDecoded => strips.Decoded;

    /// <summary>One label a band, with scale, offset and unit where the file states them.</summary>
    public IReadOnlyList<BandLabel> Bands { get; }

    /// <summary>Statistics that another program left in the file, one entry a band; null where there are none.</summary>
    public IReadOnlyList<BandStatistics?> Statistics { get; }

    /// <summary>Further name = text pairs of the file.</summary>
    public IReadOnlyDictionary<string, string> Items { get; }

    /// <summary>Stored value that means "no data", NaN included; null when the file names none.</summary>
    public double? NoData { get; }

    /// <summary>What the file says of its reference system.</summary>
    public GeoKeys GeoKeys { get; }

    /// <summary>Where the cells lie in that system; null when the file does not say.</summary>
    public RasterPlacement? Placement { get; }

    /// <summary>What heights are measured from; null when the file says nothing of heights.</summary>
    public VerticalReference? Heights { get; }

    /// <exception cref="InputProblemException">No such file, not a raster we read, cut short or damaged.</exception>
    public static RasterFile Open(string path) => Of(TiffFile.Open(path));

    /// <param name="name">What messages call it.</param>
    /// <exception cref="InputProblemException">Not a raster we read, cut short or damaged.</exception>
    public static RasterFile Open(ReadOnlyMemory<byte> bytes, string name) => Of(TiffFile.Open(bytes, name));

    /// <summary>Reads a whole raster of ours, or alike, at full resolution.</summary>
    /// <exception cref="InputProblemException">As <see cref="Open(string)"/>, or no metric grid, or numbers that T does not hold.</exception>
    public static Raster<T> ReadWhole<T>(string path)
        where T : unmanaged, INumber<T>
    {
        using RasterFile from = Open(path);
        if (!StoredNumbers.AreHeldBy<T>(from.Type))
        {
            throw new InputProblemException(
                path,
                $"it holds {from.Type} where {SampleTypes.Of<T>()} is expected.",
                "Give the raster that the step names."
            );
        }

        Raster<T> raster = new(from.RequireLabel());
        for (int band = 0; band < from.BandCount; band++)
        {
            from.Read(0, band, new RasterWindow(0, 0, from.Rows, from.Columns), raster.Band(band));
        }

        return raster;
    }

    /// <summary>The metric north-up grid with square cells, or null when the raster lies on no such grid.</summary>
    public GridGeometry? TryGrid()
    {
        const double squareWithin = 1e-9;
        return
            Placement is { IsNorthUp: true } placement
            && !GeoKeys.IsGeographic
            && (GeoKeys.Numbers.GetValueOrDefault(GeoKeys.ProjectedUnit, GeoKeys.Metre) is GeoKeys.Metre)
            && GeoKeys.EpsgCode is { } code
            && ReferenceSystem.Find(code) is { IsProjected: true } system
            && Math.Abs(placement.XPerColumn + placement.YPerRow) <= squareWithin * placement.XPerColumn
            ? new GridGeometry(
                system,
                new GridPoint(placement.OriginX, placement.OriginY),
                placement.XPerColumn,
                Rows,
                Columns
            )
            : null;
    }

    /// <summary>The label that a raster in memory carries.</summary>
    /// <exception cref="InputProblemException">The raster lies on no metric north-up grid with square cells.</exception>
    public RasterLabel RequireLabel() =>
        new(
            TryGrid()
                ?? throw new InputProblemException(
                    Name,
                    "it does not lie on a north-up grid of square cells in a metric reference system.",
                    "Warp it to the survey's UTM zone first."
                ),
            Bands
        )
        {
            NoData = NoData is { } value && !double.IsNaN(value) ? value : null,
            Heights = Heights,
            Items = Items,
        };

    /// <summary>
    /// How many full-resolution cells one cell of a level spans, down and across. Levels of ours halve exactly; where
    /// sizes fit such halving it is taken to be meant, else the level is taken to span the whole raster.
    /// </summary>
    public (double Rows, double Columns) FactorOf(int level)
    {
        return (Factor(Rows, Levels[level].Rows), Factor(Columns, Levels[level].Columns));

        double Factor(int full, int coarse)
        {
            int size = full;
            for (int halvings = 0; size > coarse; halvings++)
            {
                size -= size / 2;
                if (size == coarse)
                {
                    return Math.ScaleB(1, halvings + 1);
                }
            }

            return (double)full / coarse;
        }
    }

    /// <summary>Finest level whose cells are at least so many full-resolution cells wide, or the coarsest there is.</summary>
    /// <param name="cells">1 or less gives full resolution.</param>
    public int LevelFor(double cells)
    {
        int level = 0;
        while (level + 1 < Levels.Count && FactorOf(level + 1).Columns <= cells)
        {
            level++;
        }

        return level;
    }

    /// <summary>Reads stored numbers of one band.</summary>
    /// <param name="level">0 for full resolution.</param>
    /// <param name="band">0 … BandCount − 1.</param>
    /// <param name="window">Wholly inside the level.</param>
    /// <param name="into">Receives window.Rows × window.Columns, row-major; integers widen, anything turns into floating point.</param>
    /// <exception cref="ArgumentException">Window, band, level or length is wrong, or T does not hold what is stored.</exception>
    /// <exception cref="InputProblemException">A block is cut short or damaged.</exception>
    public void Read<T>(int level, int band, RasterWindow window, Span<T> into)
        where T : unmanaged, INumber<T>
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual((uint)band, (uint)BandCount, nameof(band));
        ReadBands(level, band, 1, window, into);
    }

    /// <summary>Reads stored numbers of all bands; where bands lie side by side this is much faster than one by one.</summary>
    /// <param name="level">0 for full resolution.</param>
    /// <param name="window">Wholly inside the level.</param>
    /// <param name="into">Receives band after band, each window.Rows × window.Columns, row-major.</param>
    /// <exception cref="ArgumentException">Window, level or length is wrong, or T does not hold what is stored.</exception>
    /// <exception cref="InputProblemException">A block is cut short or damaged.</exception>
    public void Read<T>(int level, RasterWindow window, Span<T> into)
        where T : unmanaged, INumber<T> => ReadBands(level, 0, BandCount, window, into);

    /// <summary>Reads true values of one band: stored × scale + offset, NaN where there are no data.</summary>
    /// <inheritdoc cref="Read{T}(int, int, RasterWindow, Span{T})"/>
    public void ReadTrueValues(int level, int band, RasterWindow window, Span<float> into)
    {
        Read(level, band, window, into);
        BandLabel label = Bands[band];
        float? missing = NoData is { } noData && !double.IsNaN(noData) ? (float)noData : null;
        if (missing is null && !label.IsScaled)
        {
            return;
        }

        foreach (ref float value in into)
        {
            value =
                value.Equals(missing) ? float.NaN
                : label.IsScaled ? (float)label.TrueValueOf(value)
                : value;
        }
    }

    public void Dispose() => file.Dispose();

    private static RasterFile Of(TiffFile file)
    {
        try
        {
            return new RasterFile(file);
        }
        catch
        {
            file.Dispose();
            throw;
        }
    }

    private List<RasterLevel> FindLevels()
    {
        const int reducedCopy = 1;
        const int mask = 4;
        List<RasterLevel> levels = [RasterLevel.Of(file, file.Directories[0])];
        foreach (TiffDirectory directory in file.Directories.Skip(1))
        {
            if (((directory.Integer(TiffTags.NewSubfileType) ?? 0) & (reducedCopy | mask)) != reducedCopy)
            {
                continue;
            }

            RasterLevel level = RasterLevel.Of(file, directory);
            if (
                level.BandCount == levels[0].BandCount
                && level.Type == levels[0].Type
                && level.Rows <= levels[^1].Rows
                && level.Columns <= levels[^1].Columns
            )
            {
                levels.Add(level);
            }
        }

        return levels;
    }

    private double? ReadNoData(TiffDirectory directory)
    {
        string? text = directory.Text(TiffTags.GdalNoData)?.Trim();
        return string.IsNullOrEmpty(text) ? null
            : text.Contains("nan", StringComparison.OrdinalIgnoreCase) ? double.NaN
            : double.TryParse(text, System.Globalization.CultureInfo.InvariantCulture, out double value) ? value
            : throw file.Damaged("its no-data value (tag 42113) is no number.");
    }

    private void ReadBands<T>(int levelIndex, int firstBand, int bands, RasterWindow window, Span<T> into)
        where T : unmanaged, INumber<T>
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual((uint)levelIndex, (uint)Levels.Count, nameof(levelIndex));
        RasterLevel level = Levels[levelIndex];
        CheckWindow(level, window);
        if (into.Length != window.CellCount * bands)
        {
            throw new ArgumentException($"{into.Length} numbers to receive {bands} bands of {window}.", nameof(into));
        }

        if (!StoredNumbers.AreHeldBy<T>(level.Type))
        {
            throw new ArgumentException(
                $"{SampleTypes.Of<T>()} does not hold the {level.Type} of {Name}.",
                nameof(into)
            );
        }

        BlockReader reader = readers.TryTake(out BlockReader? kept) ? kept : new BlockReader(file);
        int cells = (int)window.CellCount;
        if (level.SamplesSideBySide == 1)
        {
            for (int band = 0; band < bands; band++)
            {
                ReadPlane(reader, level, firstBand + band, 0, 1, window, into.Slice(band * cells, cells));
            }
        }
        else
        {
            ReadPlane(reader, level, 0, firstBand, bands, window, into);
        }

        readers.Add(reader);
    }

    private void ReadPlane<T>(
        BlockReader reader,
        RasterLevel level,
        int plane,
        int firstSample,
        int samples,
        RasterWindow window,
        Span<T> into
    )
        where T : unmanaged, INumber<T>
    {
        int endRow = window.Row + window.Rows;
        int endColumn = window.Column + window.Columns;
        bool keepStrips = StripCache.Serves(level, window);
        for (int blockRow = window.Row / level.BlockRows; blockRow * (long)level.BlockRows < endRow; blockRow++)
        {
            int blockTop = blockRow * level.BlockRows;
            int top = Math.Max(window.Row, blockTop);
            int bottom = (int)Math.Min(endRow, (long)blockTop + level.RowsStored(blockRow));
            for (
                int blockColumn = window.Column / level.BlockColumns;
                blockColumn * (long)level.BlockColumns < endColumn;
                blockColumn++
            )
            {
                int blockLeft = blockColumn * level.BlockColumns;
                int left = Math.Max(window.Column, blockLeft);
                int right = (int)Math.Min(endColumn, (long)blockLeft + level.BlockColumns);
                ReadOnlySpan<byte> kept = keepStrips
                    ? RowsOf(strips.Read(reader, level, plane, blockRow), level, top - blockTop, bottom - top)
                    : default;
                Span<byte> stored = keepStrips
                    ? default
                    : reader.Read(level, plane, blockRow, blockColumn, top - blockTop, bottom - top);
                for (int row = top; row < bottom; row++)
                {
                    int rowAt = (row - top) * level.BytesOfBlockRow;
                    ReadOnlySpan<byte> numbers =
                        !kept.IsEmpty ? kept.Slice(rowAt, level.BytesOfBlockRow)
                        : !stored.IsEmpty ? reader.Restore(level, stored.Slice(rowAt, level.BytesOfBlockRow))
                        : default;
                    for (int sample = 0; sample < samples; sample++)
                    {
                        int at =
                            (((sample * window.Rows) + (row - window.Row)) * window.Columns) + left - window.Column;
                        Span<T> to = into.Slice(at, right - left);
                        if (numbers.IsEmpty)
                        {
                            to.Fill(NoDataOf<T>());
                        }
                        else
                        {
                            StoredNumbers.Copy(
                                numbers,
                                level.Type,
                                ((left - blockLeft) * level.SamplesSideBySide) + firstSample + sample,
                                level.SamplesSideBySide,
                                to
                            );
                        }
                    }
                }
            }
        }
    }

    private static ReadOnlySpan<byte> RowsOf(ReadOnlySpan<byte> strip, RasterLevel level, int firstRow, int rows) =>
        strip.IsEmpty ? strip : strip.Slice(firstRow * level.BytesOfBlockRow, rows * level.BytesOfBlockRow);

    private T NoDataOf<T>()
        where T : unmanaged, INumber<T> => T.CreateSaturating(NoData ?? 0);

    private void CheckWindow(RasterLevel level, RasterWindow window)
    {
        if (
            window.Row < 0
            || window.Column < 0
            || window.Rows < 1
            || window.Columns < 1
            || (long)window.Row + window.Rows > level.Rows
            || (long)window.Column + window.Columns > level.Columns
        )
        {
            throw new ArgumentOutOfRangeException(
                nameof(window),
                window,
                $"{Name}: not inside its {level.Rows} × {level.Columns} cells."
            );
        }
    }
}
