using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>A band's corrections worked out pixel by pixel, once for a survey.</summary>
internal sealed class BandCorrection
{
    /// <summary>Electrons at the largest count when the profile tells no noise: small sensors hold about this many.</summary>
    private const double UsualFullWellElectrons = 10_000;

    private const double UsualReadNoiseElectrons = 8;

    private readonly CameraBand band;
    private readonly float[] correction;
    private readonly double[]? rowFactors;
    private readonly double[]? rowOffsets;

    /// <exception cref="InputProblemException">The falloff map cannot be read or does not fit.</exception>
    public BandCorrection(CameraBand band, string? profileFolder)
    {
        this.band = band;
        (Rows, Columns) = (band.Sensor.Rows, band.Sensor.Columns);
        correction = Correction(band, profileFolder);
        if (band.RowCorrection is { } table)
        {
            rowFactors = [.. Enumerable.Range(0, Rows).Select(row => table.FactorAt(row))];
            rowOffsets = [.. Enumerable.Range(0, Rows).Select(row => table.OffsetAt(row))];
        }

        Noise =
            band.Noise ?? new NoiseModel(UsualFullWellElectrons / band.Sensor.LargestCount, UsualReadNoiseElectrons);
        Shift = band.Sensor.Placement == BitPlacement.High ? 16 - band.Sensor.BitDepth : 0;
    }

    public int Rows { get; }

    public int Columns { get; }

    public int Shift { get; }

    public NoiseModel Noise { get; }

    /// <summary>Whole frame; see <see cref="ReflectanceKernel"/>.</summary>
    /// <param name="samples">Rows × Columns as stored.</param>
    /// <param name="frame">Its exposure, gain and black level.</param>
    /// <param name="factor">Reflectance per relative radiance; 1 gives relative radiance.</param>
    /// <param name="relativeSigma">Of the factor.</param>
    /// <param name="markSaturated">False keeps saturated pixels at their count.</param>
    /// <param name="reflectance">Receives Rows × Columns.</param>
    /// <param name="sigma">The same, or empty.</param>
    /// <param name="wanted">Columns of each row that are needed; empty: all.</param>
    public void Apply(
        ReadOnlySpan<ushort> samples,
        BandFrame frame,
        double factor,
        double relativeSigma,
        bool markSaturated,
        Span<float> reflectance,
        Span<float> sigma,
        ReadOnlySpan<ColumnSpan> wanted = default
    )
    {
        double gain = frame.Gain ?? 1;
        double black = BlackOf(frame);
        double scale = factor / (band.Sensor.LargestCount * (frame.ExposureSeconds ?? 1) * gain);
        double electronsPerCount = Noise.ElectronsPerCount / gain;
        double read = Noise.ReadNoiseElectrons / electronsPerCount;
        (float[] Linear, float[] Slope)? response = band.Response is { } table ? Response(table, black) : null;
        for (int row = 0; row < Rows; row++)
        {
            ColumnSpan columns = wanted.IsEmpty ? new ColumnSpan(0, Columns) : wanted[row];
            if (columns.IsEmpty)
            {
                continue;
            }

            RowScale settings = new(
                Shift,
                (float)(black + (rowOffsets?[row] ?? 0)),
                markSaturated ? band.Sensor.LargestCount : int.MaxValue,
                (float)(scale * (rowFactors?[row] ?? 1)),
                (float)(1 / electronsPerCount),
                (float)((read * read) + (1.0 / 12)),
                (float)(relativeSigma * relativeSigma)
            );
            int start = (row * Columns) + columns.First;
            int count = columns.End - columns.First;
            ReadOnlySpan<ushort> line = samples.Slice(start, count);
            ReadOnlySpan<float> lens = correction.AsSpan(start, count);
            Span<float> to = reflectance.Slice(start, count);
            Span<float> error = sigma.IsEmpty ? [] : sigma.Slice(start, count);
            if (response is { } tables)
            {
                BentRow(line, lens, settings, (float)black, tables.Linear, tables.Slope, to, error);
            }
            else
            {
                ReflectanceKernel.Row(line, lens, settings, to, error);
            }
        }
    }

    public bool IsSaturated(ushort sample) => band.Sensor.CountOf(sample) >= band.Sensor.LargestCount;

    public double BlackOf(BandFrame frame) =>
        band.BlackLevel.FromMetadata ? frame.BlackLevelCounts ?? band.BlackLevel.Counts : band.BlackLevel.Counts;

    /// <summary>A sensor whose counts bend with light: linear counts from a table, noise carried by its slope.</summary>
    private static void BentRow(
        ReadOnlySpan<ushort> samples,
        ReadOnlySpan<float> lens,
        in RowScale row,
        float frameBlack,
        float[] linear,
        float[] slope,
        Span<float> to,
        Span<float> error
    )
    {
        for (int index = 0; index < samples.Length; index++)
        {
            int count = Math.Min(samples[index] >> row.Shift, linear.Length - 1);
            float value = linear[count] - (slope[count] * (row.Black - frameBlack));
            float factor = row.Scale * lens[index];
            bool saturated = count >= row.Largest;
            to[index] = saturated ? float.NaN : value * factor;
            if (!error.IsEmpty)
            {
                float above = MathF.Max(0, count - row.Black);
                float noise = ((above * row.VariancePerCount) + row.VarianceCounts) * slope[count] * slope[count];
                float reflectance = value * factor;
                error[index] = saturated
                    ? float.NaN
                    : MathF.Sqrt((noise * factor * factor) + (reflectance * reflectance * row.RelativeVariance));
            }
        }
    }

    private (float[] Linear, float[] Slope) Response(ResponseTable table, double black)
    {
        float[] linear = new float[band.Sensor.LargestCount + 1];
        float[] slope = new float[linear.Length];
        for (int count = 0; count < linear.Length; count++)
        {
            double above = count - black;
            linear[count] = (float)table.LinearOf(above);
            slope[count] = (float)(table.LinearOf(above + 0.5) - table.LinearOf(above - 0.5));
        }

        return (linear, slope);
    }

    private static float[] Correction(CameraBand band, string? profileFolder)
    {
        (int rows, int columns) = (band.Sensor.Rows, band.Sensor.Columns);
        float[] values = new float[rows * columns];
        if (band.Vignetting is MappedVignetting map)
        {
            string path = Path.Combine(profileFolder ?? ".", map.File);
            using PictureFile file = PictureFile.Open(path);
            if (file.Pages[0].Rows != rows || file.Pages[0].Columns != columns || file.Pages[0].Bands != 1)
            {
                throw new InputProblemException(
                    path,
                    $"the falloff map of band {band.Name} is not of the frame's size, {columns} × {rows} pixels.",
                    "Give a map of the frame's size, one value a pixel."
                );
            }

            file.ReadValues(0, values);
            for (int index = 0; index < values.Length; index++)
            {
                values[index] = map.GivesCorrection ? values[index] : 1 / values[index];
            }
        }
        else if (band.Vignetting is RadialVignetting { Coefficients.Count: 0 })
        {
            Array.Fill(values, 1f);
        }
        else if (band.Vignetting is VignettingFormula formula)
        {
            for (int row = 0; row < rows; row++)
            {
                for (int column = 0; column < columns; column++)
                {
                    values[(row * columns) + column] = (float)(
                        1 / formula.FalloffAt(new PixelPoint(column + 0.5, row + 0.5), rows, columns)
                    );
                }
            }
        }

        foreach (float value in values)
        {
            if (!(value > 0 && float.IsFinite(value)))
            {
                throw new InputProblemException(
                    $"camera profile, band {band.Name}",
                    "its vignetting leaves no light, or more than any, somewhere in the frame.",
                    "Check the vignetting's coefficients and scale."
                );
            }
        }

        return values;
    }
}
