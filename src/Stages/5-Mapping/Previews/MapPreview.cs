using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Mapping;

/// <summary>Small pictures of maps for report and screen.</summary>
/// <remarks>
/// They are drawn from the file's overviews: the picture is the coarsest that has at least half the pixels asked for and
/// not more than asked for. Memory is a few pictures, whatever the map's size.
/// </remarks>
public static class MapPreview
{
    private const double LowShare = 0.02;
    private const double HighShare = 0.98;
    private const int TicksWanted = 5;

    /// <summary>Three bands as red, green and blue, all on one scale, so that hues are those of the reflectances.</summary>
    /// <param name="reflectance">The map.</param>
    /// <param name="title">For the legend.</param>
    /// <param name="bands">Positions of the bands shown as red, green and blue.</param>
    /// <param name="longestSidePixels">At least 16.</param>
    /// <param name="high">Reflectance of full brightness; null takes the value that 2 % of the cells exceed.</param>
    /// <exception cref="InputProblemException">The file is damaged or lies on no metric grid.</exception>
    public static PreviewPicture Composite(
        RasterFile reflectance,
        string title,
        IReadOnlyList<int> bands,
        int longestSidePixels = 1200,
        double? high = null
    )
    {
        ArgumentNullException.ThrowIfNull(reflectance);
        ArgumentNullException.ThrowIfNull(bands);
        if (bands.Count != 3)
        {
            throw new ArgumentException($"{bands.Count} bands; red, green and blue are wanted.", nameof(bands));
        }

        (int level, RasterWindow window, GridGeometry grid) = LevelFor(reflectance, longestSidePixels);
        float[][] values = new float[3][];
        for (int at = 0; at < 3; at++)
        {
            values[at] = new float[window.CellCount];
            reflectance.ReadTrueValues(level, bands[at], window, values[at]);
        }

        float[] all = [.. values.SelectMany(band => band.Where(float.IsFinite))];
        Array.Sort(all);
        double top = high ?? (all.Length > 0 ? QuantileOf(all, HighShare) : 1);
        top = top > 0 ? top : 1;
        byte[] pixels = new byte[window.CellCount * 4];
        for (int at = 0; at < window.CellCount; at++)
        {
            if (!(float.IsFinite(values[0][at]) && float.IsFinite(values[1][at]) && float.IsFinite(values[2][at])))
            {
                continue;
            }

            for (int colour = 0; colour < 3; colour++)
            {
                pixels[(4 * at) + colour] = Brightness(values[colour][at] / top);
            }

            pixels[(4 * at) + 3] = 255;
        }

        double beyond = all.Length == 0 ? 0 : 100.0 * all.Count(value => value > top) / all.Length;
        return new PreviewPicture(
            PngWriter.Encode(pixels, window.Rows, window.Columns),
            grid,
            new PreviewLegend(
                title,
                null,
                0,
                top,
                TicksOf(0, top),
                FormattableString.Invariant(
                    $"Reflectance 0 is black and {top:G3} full brightness in all three bands, shown with the sRGB curve; {beyond:F1} % of the values are brighter."
                )
            )
        );
    }

    /// <summary>An index or any formula of the bands in colours of a ramp.</summary>
    /// <param name="reflectance">The map.</param>
    /// <param name="title">For the legend.</param>
    /// <param name="formula">Over the map's bands.</param>
    /// <param name="ramp">Null for viridis.</param>
    /// <param name="longestSidePixels">At least 16.</param>
    /// <param name="range">Values of the first and last colour; null takes those that 2 % lie below and above.</param>
    /// <exception cref="InputProblemException">The file is damaged or lies on no metric grid.</exception>
    public static PreviewPicture Index(
        RasterFile reflectance,
        string title,
        IndexFormula formula,
        ColourRamp? ramp = null,
        int longestSidePixels = 1200,
        (double Low, double High)? range = null
    )
    {
        ArgumentNullException.ThrowIfNull(reflectance);
        ArgumentNullException.ThrowIfNull(formula);
        (int level, RasterWindow window, GridGeometry grid) = LevelFor(reflectance, longestSidePixels);
        float[] values = new float[window.CellCount];
        IndexMap.Read(reflectance, formula, level, window, values);
        return Coloured(values, grid, title, ramp ?? ColourRamp.Viridis, range);
    }

    /// <summary>One band of any raster file (a surface, canopy heights, an exported index) in colours of a ramp.</summary>
    /// <param name="raster">On a metric grid.</param>
    /// <param name="band">0 … bands − 1.</param>
    /// <inheritdoc cref="Index"/>
    public static PreviewPicture Band(
        RasterFile raster,
        int band,
        string title,
        ColourRamp? ramp = null,
        int longestSidePixels = 1200,
        (double Low, double High)? range = null
    )
    {
        ArgumentNullException.ThrowIfNull(raster);
        (int level, RasterWindow window, GridGeometry grid) = LevelFor(raster, longestSidePixels);
        float[] values = new float[window.CellCount];
        raster.ReadTrueValues(level, band, window, values);
        return Coloured(values, grid, title, ramp ?? ColourRamp.Viridis, range);
    }

    private static PreviewPicture Coloured(
        float[] values,
        GridGeometry grid,
        string title,
        ColourRamp ramp,
        (double Low, double High)? range
    )
    {
        float[] sorted = [.. values.Where(float.IsFinite)];
        Array.Sort(sorted);
        (double low, double high) = range ?? RangeOf(sorted);
        byte[] table = ramp.ToTable();
        byte[] pixels = new byte[values.Length * 4];
        for (int at = 0; at < values.Length; at++)
        {
            if (float.IsFinite(values[at]))
            {
                int colour = (int)Math.Round(Math.Clamp((values[at] - low) / (high - low), 0, 1) * 255);
                table.AsSpan(3 * colour, 3).CopyTo(pixels.AsSpan(4 * at));
                pixels[(4 * at) + 3] = 255;
            }
        }

        double below = Share(sorted.Count(value => value < low));
        double above = Share(sorted.Count(value => value > high));
        return new PreviewPicture(
            PngWriter.Encode(pixels, grid.Rows, grid.Columns),
            grid,
            new PreviewLegend(
                title,
                ramp,
                low,
                high,
                TicksOf(low, high),
                FormattableString.Invariant(
                    $"Linear from {low:G4} to {high:G4}; {below:F1} % of the cells lie below and {above:F1} % above and show the end colours."
                )
            )
        );

        double Share(int count) => sorted.Length == 0 ? 0 : 100.0 * count / sorted.Length;
    }

    private static (double Low, double High) RangeOf(float[] sorted)
    {
        if (sorted.Length == 0)
        {
            return (0, 1);
        }

        double low = QuantileOf(sorted, LowShare);
        double high = QuantileOf(sorted, HighShare);
        return high > low ? (low, high) : (low - 0.5, low + 0.5);
    }

    private static double QuantileOf(float[] sorted, double share) =>
        sorted[(int)Math.Round(share * (sorted.Length - 1))];

    /// <summary>Round values (1, 2, 2.5 or 5 times a power of ten apart) between two ends.</summary>
    internal static IReadOnlyList<double> TicksOf(double low, double high)
    {
        double rough = (high - low) / TicksWanted;
        double power = Math.Pow(10, Math.Floor(Math.Log10(rough)));
        double step = 10 * power;
        foreach (double candidate in (ReadOnlySpan<double>)[5, 2.5, 2, 1])
        {
            step = candidate * power >= rough ? candidate * power : step;
        }

        List<double> ticks = [];
        for (double at = Math.Ceiling((low / step) - 1e-9); at * step <= high + (1e-9 * step); at++)
        {
            ticks.Add(Math.Round(at * step, 12));
        }

        return ticks;
    }

    /// <summary>The sRGB curve (IEC 61966-2-1): light to screen value.</summary>
    private static byte Brightness(double light)
    {
        double inRange = Math.Clamp(light, 0, 1);
        double shown = inRange <= 0.0031308 ? 12.92 * inRange : (1.055 * Math.Pow(inRange, 1 / 2.4)) - 0.055;
        return (byte)Math.Round(shown * 255);
    }

    private static (int Level, RasterWindow Window, GridGeometry Grid) LevelFor(RasterFile file, int longestSide)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(longestSide, 16);
        int level = 0;
        while (level + 1 < file.Levels.Count && Longest(level) > longestSide)
        {
            level++;
        }

        if (Longest(level) > 4 * (long)longestSide)
        {
            throw new InputProblemException(
                file.Name,
                "it has no overviews, so that a small picture of it would need all of it in memory.",
                "Write it as a cloud-optimized GeoTIFF."
            );
        }

        GridGeometry full = file.RequireLabel().Grid;
        RasterWindow window = new(0, 0, file.Levels[level].Rows, file.Levels[level].Columns);
        double cell = full.CellSizeMetres * file.FactorOf(level).Columns;
        return (level, window, full with { CellSizeMetres = cell, Rows = window.Rows, Columns = window.Columns });

        int Longest(int of) => Math.Max(file.Levels[of].Rows, file.Levels[of].Columns);
    }
}
