using System.Numerics;

namespace Hillrow.Imaging;

/// <summary>The threshold that splits values into two classes with the largest variance between them.</summary>
/// <remarks>N. Otsu 1979, doi 10.1109/TSMC.1979.4310076.</remarks>
public static class OtsuThreshold
{
    /// <summary>The centre of the best of the histogram's bins; the upper class is what lies above it.</summary>
    /// <param name="values">Any; NaN left out.</param>
    /// <param name="bins">Equal bins from the least to the largest value, 2 … 65536.</param>
    /// <exception cref="ArgumentException">No finite value, or only one.</exception>
    public static double Of<T>(ReadOnlySpan<T> values, int bins = 256)
        where T : IFloatingPointIeee754<T>
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(bins, 2);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(bins, 65_536);
        double low = double.PositiveInfinity;
        double high = double.NegativeInfinity;
        foreach (T value in values)
        {
            if (T.IsFinite(value))
            {
                double number = double.CreateChecked(value);
                low = Math.Min(low, number);
                high = Math.Max(high, number);
            }
        }

        if (!(high > low))
        {
            throw new ArgumentException("A threshold needs at least two different finite values.");
        }

        double width = (high - low) / bins;
        long[] histogram = new long[bins];
        foreach (T value in values)
        {
            if (T.IsFinite(value))
            {
                int bin = (int)((double.CreateChecked(value) - low) / (high - low) * bins);
                histogram[Math.Min(bin, bins - 1)]++;
            }
        }

        return low + ((BestSplit(histogram, index => low + ((index + 0.5) * width)) + 0.5) * width);
    }

    /// <summary>The best threshold of 8-bit values: the lower class is value ≤ threshold.</summary>
    public static byte Of(ReadOnlySpan<byte> values)
    {
        long[] histogram = new long[256];
        foreach (byte value in values)
        {
            histogram[value]++;
        }

        return (byte)BestSplit(histogram, index => index);
    }

    private static int BestSplit(long[] histogram, Func<int, double> centre)
    {
        double count = histogram.Sum();
        double sum = 0;
        for (int bin = 0; bin < histogram.Length; bin++)
        {
            sum += histogram[bin] * centre(bin);
        }

        double lowerCount = 0;
        double lowerSum = 0;
        double best = -1;
        int split = 0;
        for (int bin = 0; bin < histogram.Length - 1; bin++)
        {
            lowerCount += histogram[bin];
            lowerSum += histogram[bin] * centre(bin);
            double upperCount = count - lowerCount;
            if (lowerCount == 0 || upperCount == 0)
            {
                continue;
            }

            double step = (lowerSum / lowerCount) - ((sum - lowerSum) / upperCount);
            double between = lowerCount * upperCount * step * step;

            // Empty bins leave the variance alone up to rounding: the first of equals is kept.
            if (between > best * (1 + 1e-12))
            {
                best = between;
                split = bin;
            }
        }

        return split;
    }
}
