using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Hillrow.Rehearsal;

/// <summary>
/// Gathers the samples of a frame into pixels with the lens's blur: every pixel takes in the samples of its own area
/// and of part of its neighbours', as a point of light spreads over several pixels.
/// </summary>
/// <remarks>
/// Samples are jittered within their cells, so a sample's own spread is that of a box of one cell. Weights fall linearly
/// with distance; their reach is such that weights and box together have the variance b² / 6 of a tent of half width b.
/// </remarks>
internal sealed class LensBlur
{
    private readonly float[] weights;

    /// <param name="blurPixels">Half width of the tent, b, about 1.</param>
    /// <param name="side">Samples along a pixel's edge.</param>
    public LensBlur(double blurPixels, int side)
    {
        Side = side;
        double wanted = (blurPixels * blurPixels / 6) - (1 / (12.0 * side * side));
        (double low, double high) = (0.501 / side, 1.5);
        for (int step = 0; step < 60; step++)
        {
            double reach = 0.5 * (low + high);
            (low, high) = Variance(reach) < wanted ? (reach, high) : (low, reach);
        }

        double[] raw = Weights(low);
        double sum = raw.Sum();
        weights = [.. raw.Select(value => (float)(value / sum))];
    }

    /// <summary>Samples along a pixel's edge; a frame's samples have a margin of one pixel all around.</summary>
    public int Side { get; }

    /// <summary>Weights of the samples from one pixel before to one pixel after; they sum to 1.</summary>
    public ReadOnlySpan<float> Taps => weights;

    /// <summary>One row of pixels from the samples.</summary>
    /// <param name="samples">First sample row of the pixel above.</param>
    /// <param name="stride">Samples in a row.</param>
    /// <param name="scratch">As long as a row of samples.</param>
    /// <param name="pixels">Receives the row.</param>
    public void Gather(ReadOnlySpan<float> samples, int stride, Span<float> scratch, Span<float> pixels)
    {
        unchecked
        {
            // Hot: all indices lie in the spans, which the slices check.
            Span<float> line = scratch[..stride];
            line.Clear();
            for (int tap = 0; tap < weights.Length; tap++)
            {
                float weight = weights[tap];
                if (weight > 0)
                {
                    Add(samples.Slice(tap * stride, stride), weight, line);
                }
            }

            for (int column = 0; column < pixels.Length; column++)
            {
                ReadOnlySpan<float> near = line.Slice(column * Side, weights.Length);
                float sum = 0;
                for (int tap = 0; tap < near.Length; tap++)
                {
                    sum += weights[tap] * near[tap];
                }

                pixels[column] = sum;
            }
        }
    }

    private static void Add(ReadOnlySpan<float> samples, float weight, Span<float> sums)
    {
        ReadOnlySpan<Vector256<float>> from = MemoryMarshal.Cast<float, Vector256<float>>(samples);
        Span<Vector256<float>> to = MemoryMarshal.Cast<float, Vector256<float>>(sums);
        for (int index = 0; index < to.Length; index++)
        {
            to[index] += from[index] * weight;
        }

        for (int index = to.Length * Vector256<float>.Count; index < sums.Length; index++)
        {
            sums[index] += samples[index] * weight;
        }
    }

    private double[] Weights(double reach)
    {
        double[] all = new double[3 * Side];
        for (int tap = 0; tap < all.Length; tap++)
        {
            all[tap] = Math.Max(0, 1 - (Math.Abs(Place(tap)) / reach));
        }

        return all;
    }

    private double Variance(double reach)
    {
        double[] all = Weights(reach);
        return all.Select((weight, tap) => weight * Place(tap) * Place(tap)).Sum() / all.Sum();
    }

    /// <summary>Middle of a sample's cell from the pixel's middle, pixels.</summary>
    private double Place(int tap) => ((tap + 0.5) / Side) - 1.5;
}
