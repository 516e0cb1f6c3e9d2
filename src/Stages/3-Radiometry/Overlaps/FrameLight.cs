using Hillrow.Imaging;

namespace Hillrow.Radiometry;

/// <summary>What the comparison of captures changes in one frame.</summary>
internal sealed class FrameLight
{
    /// <summary>Gains are worked out at every so many columns, and led straight between.</summary>
    private const int Stride = 16;

    private readonly double[] nodes;
    private readonly int nodeRows;
    private readonly int nodeColumns;
    private readonly double[] sigmas;
    private readonly int sigmaRows;
    private readonly int sigmaColumns;
    private readonly double offset;
    private readonly LensCorrection? lens;

    private FrameLight(LightAdjustment light, CaptureLight own, LensCorrection? lens)
    {
        nodes = [.. own.LogGains];
        (nodeRows, nodeColumns) = (light.NodeRows, light.NodeColumns);
        offset = own.Offset;
        this.lens = lens;
        bool local = own.NodeSigmas.Count > 0;
        sigmas = local ? [.. own.NodeSigmas] : [own.RelativeSigma];
        (sigmaRows, sigmaColumns) = local && sigmas.Length > 1 ? (light.SigmaRows, light.SigmaColumns) : (1, 1);
        OffsetSigma = own.OffsetSigma;
    }

    public double OffsetSigma { get; }

    /// <summary>By capture and band; empty when captures were not compared.</summary>
    public static Dictionary<(string Capture, string Band), FrameLight> All(LightAdjustment? light) =>
        light is null
            ? []
            : light.Captures.ToDictionary(
                own => (own.CaptureId, own.Band),
                own => new FrameLight(light, own, light.Lenses.FirstOrDefault(lens => lens.Band == own.Band))
            );

    /// <summary>Relative variance that pixels near one another share, along a row; the offset's apart.</summary>
    /// <param name="row">Of the frame.</param>
    /// <param name="rows">Of the frame.</param>
    /// <param name="bandVariance">Relative variance of the band's calibration.</param>
    /// <param name="variances">Receives one a column.</param>
    public void RelativeVariances(int row, int rows, double bandVariance, Span<float> variances)
    {
        int columns = variances.Length;
        int stops = (columns / Stride) + 2;
        Span<float> at = stackalloc float[stops];
        double diagonal = ((double)rows * rows) + ((double)columns * columns);
        double rowShare = (row + 0.5) / rows;
        double down = ((2 * rowShare) - 1) * rows;
        for (int stop = 0; stop < stops; stop++)
        {
            double columnShare = Math.Min(1, stop * Stride / (double)columns);
            double across = ((2 * columnShare) - 1) * columns;
            double corner = (lens?.CornerSigma ?? 0) * ((across * across) + (down * down)) / diagonal;
            double own = NodePlace.At(sigmaRows, sigmaColumns, rowShare, columnShare).Of(sigmas);
            at[stop] = (float)(bandVariance + (own * own) + (corner * corner));
        }

        for (int column = 0; column < columns; column++)
        {
            int stop = column / Stride;
            float share = ((column % Stride) + 0.5f) / Stride;
            variances[column] = at[stop] + ((at[stop + 1] - at[stop]) * share);
        }
    }

    /// <summary>(found − offset) · e^(gain − lens), sigma with it.</summary>
    /// <param name="rows">Of the frame.</param>
    /// <param name="columns">Of the frame.</param>
    /// <param name="reflectance">Rows × columns.</param>
    /// <param name="sigma">The same, or empty.</param>
    /// <param name="wanted">Columns of each row that are needed; empty: all.</param>
    public void Apply(
        int rows,
        int columns,
        Span<float> reflectance,
        Span<float> sigma,
        ReadOnlySpan<ColumnSpan> wanted = default
    )
    {
        int stops = (columns / Stride) + 2;
        Span<float> gains = stackalloc float[stops];
        double diagonal = ((double)rows * rows) + ((double)columns * columns);
        for (int row = 0; row < rows; row++)
        {
            ColumnSpan own = wanted.IsEmpty ? new ColumnSpan(0, columns) : wanted[row];
            if (own.IsEmpty)
            {
                continue;
            }

            double rowShare = (row + 0.5) / rows;
            double down = (2 * rowShare) - 1;
            for (int stop = own.First / Stride; stop <= ((own.End - 1) / Stride) + 1; stop++)
            {
                double columnShare = stop * Stride / (double)columns;
                double across = (2 * columnShare) - 1;
                double square = ((across * across * columns * columns) + (down * down * rows * rows)) / diagonal;
                double log = NodePlace.At(nodeRows, nodeColumns, rowShare, columnShare).Of(nodes);
                gains[stop] = (float)Math.Exp(log - (lens?.At(across, down, square) ?? 0));
            }

            Span<float> line = reflectance.Slice(row * columns, columns);
            Span<float> error = sigma.IsEmpty ? [] : sigma.Slice(row * columns, columns);
            for (int column = own.First; column < own.End; column++)
            {
                int stop = column / Stride;
                float share = ((column % Stride) + 0.5f) / Stride;
                float gain = gains[stop] + ((gains[stop + 1] - gains[stop]) * share);
                line[column] = (line[column] - (float)offset) * gain;
                if (!error.IsEmpty)
                {
                    error[column] *= gain;
                }
            }
        }
    }
}
