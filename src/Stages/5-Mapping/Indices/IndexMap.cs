using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Mapping;

/// <summary>An index over a map: computed window by window when looked at, written whole when exported.</summary>
public static class IndexMap
{
    /// <summary>Bands of a reflectance file, for formulas. Names come from the file; wavelengths from the camera profile.</summary>
    /// <param name="reflectance">The map.</param>
    /// <param name="camera">Null when unknown: formulas then know bands by name only.</param>
    public static IReadOnlyList<FormulaBand> BandsOf(RasterFile reflectance, CameraProfile? camera = null)
    {
        ArgumentNullException.ThrowIfNull(reflectance);
        return
        [
            .. reflectance.Bands.Select(label =>
                camera?.Bands.FirstOrDefault(band => band.Name == label.Name) is { } known
                    ? new FormulaBand(label.Name, known.CentreNanometres, known.WidthNanometres)
                    : new FormulaBand(label.Name)
            ),
        ];
    }

    /// <summary>Values of a window at any level of the file.</summary>
    /// <param name="reflectance">The map; its overviews hold mean reflectance, so coarse levels give the index of the mean.</param>
    /// <param name="formula">Over the map's bands.</param>
    /// <param name="level">0 for full resolution.</param>
    /// <param name="window">Wholly inside the level.</param>
    /// <param name="index">Receives window.Rows × window.Columns, row-major; NaN without data.</param>
    /// <exception cref="InputProblemException">The file is damaged.</exception>
    public static void Read(
        RasterFile reflectance,
        IndexFormula formula,
        int level,
        RasterWindow window,
        Span<float> index
    )
    {
        ArgumentNullException.ThrowIfNull(reflectance);
        ArgumentNullException.ThrowIfNull(formula);
        CheckCount(window, index.Length);
        new IndexWindow(formula).Read(reflectance, null, level, window).CopyTo(index);
    }

    /// <summary>Values and standard errors of a window at full resolution.</summary>
    /// <param name="reflectance">The map.</param>
    /// <param name="sigma">Its sigma layer, coded as <see cref="SigmaCode"/>.</param>
    /// <param name="formula">Over the map's bands.</param>
    /// <param name="window">Wholly inside.</param>
    /// <param name="index">Receives window.Rows × window.Columns, row-major.</param>
    /// <param name="indexSigma">Receives as many standard errors.</param>
    /// <exception cref="InputProblemException">A file is damaged, or the two do not belong together.</exception>
    public static void Read(
        RasterFile reflectance,
        RasterFile sigma,
        IndexFormula formula,
        RasterWindow window,
        Span<float> index,
        Span<float> indexSigma
    )
    {
        ArgumentNullException.ThrowIfNull(reflectance);
        ArgumentNullException.ThrowIfNull(sigma);
        ArgumentNullException.ThrowIfNull(formula);
        CheckTogether(reflectance, sigma);
        CheckCount(window, index.Length);
        CheckCount(window, indexSigma.Length);
        ReadOnlySpan<float> both = new IndexWindow(formula).Read(reflectance, sigma, 0, window);
        both[..index.Length].CopyTo(index);
        both[index.Length..].CopyTo(indexSigma);
    }

    /// <summary>Writes an index as a cloud-optimized GeoTIFF of 32-bit numbers, with its standard error as a second band when sigma is given.</summary>
    /// <param name="reflectancePath">The map.</param>
    /// <param name="sigmaPath">Its sigma layer; null for none.</param>
    /// <param name="name">Of the index, for the file.</param>
    /// <param name="formula">Over the map's bands.</param>
    /// <param name="path">Replaced when it exists, in one step.</param>
    /// <param name="threads">0 for all cores; the bytes do not depend on it.</param>
    /// <param name="layout">Null for Deflate, level 1.</param>
    /// <param name="cancel">Leaves no file behind.</param>
    /// <exception cref="InputProblemException">A file is damaged, or the two do not belong together.</exception>
    /// <exception cref="IOException">The disk refuses.</exception>
    public static void Write(
        string reflectancePath,
        string? sigmaPath,
        string name,
        IndexFormula formula,
        string path,
        int threads = 0,
        CogLayout? layout = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(formula);
        using RasterFile reflectance = RasterFile.Open(reflectancePath);
        using RasterFile? sigma = sigmaPath is null ? null : RasterFile.Open(sigmaPath);
        if (sigma is not null)
        {
            CheckTogether(reflectance, sigma);
        }

        BandLabel[] labels = sigma is null
            ? [new BandLabel(name)]
            : [new BandLabel(name), new BandLabel(name + " sigma")];
        RasterLabel label = new(reflectance.RequireLabel().Grid, labels)
        {
            Items = new Dictionary<string, string> { ["formula"] = formula.Text },
        };
        layout ??= new CogLayout { Level = 1 };
        using CogWriter<float> writer = CogWriter.Create<float>(path, label, layout);
        int size = layout.TileSize;
        new TileOrder(writer.TileRows, writer.TileColumns).ForEach(
            threads,
            () => new IndexWindow(formula),
            (tileRow, tileColumn, reader) =>
            {
                cancel.ThrowIfCancellationRequested();
                RasterWindow window = new(
                    tileRow * size,
                    tileColumn * size,
                    writer.RowsOfTile(tileRow),
                    writer.ColumnsOfTile(tileColumn)
                );
                writer.WriteTile(tileRow, tileColumn, reader.Read(reflectance, sigma, 0, window));
            }
        );
        writer.Complete();
    }

    private static void CheckCount(RasterWindow window, int count)
    {
        if (count != window.CellCount)
        {
            throw new ArgumentException($"{count} places for {window}.", nameof(count));
        }
    }

    private static void CheckTogether(RasterFile reflectance, RasterFile sigma)
    {
        if (
            sigma.Rows != reflectance.Rows
            || sigma.Columns != reflectance.Columns
            || sigma.BandCount != reflectance.BandCount
            || sigma.Type != SampleType.Byte
        )
        {
            throw new InputProblemException(
                sigma.Name,
                $"it is no sigma layer of {reflectance.Name}: rows, columns, bands or type differ.",
                "Give the sigma.tif that was written with the map."
            );
        }
    }
}
