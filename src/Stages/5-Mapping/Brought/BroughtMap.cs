using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Mapping;

/// <summary>What the numbers of a map that was made elsewhere mean.</summary>
/// <param name="Bands">
/// A word for each band of the file, in its order: "red", "nir" …; <see cref="Mask"/> for a band that is 0 where there are no
/// data; <see cref="LeftOut"/> for one that is not wanted.
/// </param>
/// <param name="ReflectanceOne">True value that stands for a reflectance of 1; null: the numbers are no reflectance.</param>
public sealed record BroughtBands(IReadOnlyList<string> Bands, double? ReflectanceOne)
{
    public const string Mask = "mask";
    public const string LeftOut = "-";

    /// <summary>Words that stages ask bands by; others are kept as they are.</summary>
    public static IReadOnlyList<string> Words { get; } = ["blue", "green", "red", "rededge", "nir"];

    /// <summary>Positions of the bands that are kept.</summary>
    public IReadOnlyList<int> Kept =>
        [.. Enumerable.Range(0, Bands.Count).Where(band => Bands[band] is not Mask and not LeftOut)];

    public int? MaskBand
    {
        get
        {
            int at = Bands.ToList().IndexOf(Mask);
            return at < 0 ? null : at;
        }
    }
}

/// <summary>What came of a map that was made elsewhere.</summary>
/// <param name="Grid">Of the map that was laid.</param>
/// <param name="CellsMapped">Cells with data in all bands.</param>
/// <param name="Resampled">False: the file's own pixels.</param>
public sealed record BroughtMapResult(GridGeometry Grid, long CellsMapped, bool Resampled);

/// <summary>An orthomosaic of another program → the map that later stages read: same bands by our words, the estate's UTM zone.</summary>
public static class BroughtMap
{
    /// <summary>Largest number of an integer type, for numbers that are no reflectance.</summary>
    private const double FullByte = 255;
    private const double FullWord = 65535;

    /// <summary>
    /// Writes the map as chain's maps are: scaled 16-bit, missing where any band is, a mask band is 0, or (with plain
    /// integers) all bands are 0, as the rim of an orthomosaic usually is.
    /// </summary>
    /// <param name="source">GeoTIFF of any known system.</param>
    /// <param name="meaning">Of its bands.</param>
    /// <param name="target">The estate's UTM zone.</param>
    /// <param name="path">reflectance.tif.</param>
    /// <param name="threads">The bytes do not depend on it.</param>
    /// <exception cref="InputProblemException">Wrong count of bands, no place, unknown system, or a damaged block.</exception>
    public static BroughtMapResult Write(
        RasterFile source,
        BroughtBands meaning,
        ReferenceSystem target,
        string path,
        int threads,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(source);
        ArgumentNullException.ThrowIfNull(meaning);
        CheckBands(source, meaning);
        GridWarp warp = new(source, target);
        IReadOnlyList<int> kept = meaning.Kept;
        int[] read = meaning.MaskBand is { } mask ? [.. kept, mask] : [.. kept];
        float one = (float)OneOf(source, meaning);
        bool zeroIsMissing = source.NoData is null && !SampleTypes.IsFloatingPoint(source.Type);
        RasterLabel label = new(
            warp.Grid,
            [.. kept.Select(band => new BandLabel(meaning.Bands[band], "", ReflectanceCode.Scale))]
        )
        {
            NoData = ReflectanceCode.Missing,
            Items = new Dictionary<string, string>
            {
                ["meaning"] = meaning.ReflectanceOne is null
                    ? "numbers of a picture as shares of their full scale, no reflectance; brought in from a file"
                    : "reflectance factor 0 … 1; brought in from a file",
            },
        };
        CogLayout layout = new();
        int size = layout.TileSize;
        long mapped = 0;
        using CogWriter<ushort> writer = CogWriter.Create<ushort>(path, label, layout);
        new TileOrder(writer.TileRows, writer.TileColumns).ForEach(
            threads,
            () => (Values: new float[size * size * read.Length], Codes: new ushort[size * size * kept.Count]),
            (tileRow, tileColumn, room) =>
            {
                cancel.ThrowIfCancellationRequested();
                RasterWindow window = new(
                    tileRow * size,
                    tileColumn * size,
                    writer.RowsOfTile(tileRow),
                    writer.ColumnsOfTile(tileColumn)
                );
                int cells = (int)window.CellCount;
                Span<float> values = room.Values.AsSpan(0, cells * read.Length);
                Span<ushort> codes = room.Codes.AsSpan(0, cells * kept.Count);
                warp.Read(warp.Grid, window, read, values);
                Interlocked.Add(ref mapped, Encode(values, codes, cells, kept.Count, one, zeroIsMissing));
                writer.WriteTile(tileRow, tileColumn, codes);
            }
        );
        writer.Complete();
        return new BroughtMapResult(warp.Grid, mapped, !warp.IsCopy);
    }

    /// <summary>True value that becomes 1: as told, or the full scale of plain integers.</summary>
    public static double OneOf(RasterFile source, BroughtBands meaning) =>
        meaning.ReflectanceOne ?? (source.Type is SampleType.Byte ? FullByte : FullWord);

    private static long Encode(
        ReadOnlySpan<float> values,
        Span<ushort> codes,
        int cells,
        int bands,
        float one,
        bool zeroIsMissing
    )
    {
        bool masked = values.Length > cells * bands;
        long mapped = 0;
        for (int cell = 0; cell < cells; cell++)
        {
            bool missing = masked && !(values[(bands * cells) + cell] > 0);
            bool zero = zeroIsMissing;
            for (int band = 0; band < bands; band++)
            {
                float value = values[(band * cells) + cell];
                missing |= float.IsNaN(value);
                zero &= value == 0;
            }

            missing |= zero;
            mapped += missing ? 0 : 1;
            for (int band = 0; band < bands; band++)
            {
                codes[(band * cells) + cell] = missing
                    ? ReflectanceCode.Missing
                    : ReflectanceCode.Encode(values[(band * cells) + cell] / one);
            }
        }

        return mapped;
    }

    /// <exception cref="InputProblemException">Not one word for each band, or one twice.</exception>
    public static void CheckBands(RasterFile source, BroughtBands meaning)
    {
        ArgumentNullException.ThrowIfNull(source);
        ArgumentNullException.ThrowIfNull(meaning);
        if (meaning.Bands.Count != source.BandCount)
        {
            throw new InputProblemException(
                source.Name,
                $"it has {source.BandCount} bands, and {meaning.Bands.Count} are named ({string.Join(",", meaning.Bands)}).",
                $"Name every band in order: {string.Join(", ", BroughtBands.Words)}, \"{BroughtBands.Mask}\" for an alpha band, \"{BroughtBands.LeftOut}\" for one to leave out."
            );
        }

        IReadOnlyList<int> kept = meaning.Kept;
        if (
            kept.Count == 0
            || kept.Select(band => meaning.Bands[band]).Distinct(StringComparer.Ordinal).Count() < kept.Count
            || meaning.Bands.Count(word => word == BroughtBands.Mask) > 1
        )
        {
            throw new InputProblemException(
                source.Name,
                $"the bands {string.Join(",", meaning.Bands)} name one twice or none at all.",
                "Give every band a name of its own."
            );
        }
    }
}
