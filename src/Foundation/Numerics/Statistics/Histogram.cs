namespace Hillrow.Numerics.Statistics;

/// <summary>Counts in equal bins from <c>Low</c> to <c>High</c>; the last bin includes its upper edge.</summary>
/// <param name="Below">Values under the first bin.</param>
/// <param name="Above">Values over the last bin.</param>
/// <param name="Missing">NaN seen.</param>
public sealed record Histogram(double Low, double High, long[] Counts, long Below, long Above, long Missing)
{
    public double BinWidth => (High - Low) / Counts.Length;

    /// <summary>Values inside the bins.</summary>
    public long Total
    {
        get
        {
            long total = 0;
            foreach (long count in Counts)
            {
                total += count;
            }

            return total;
        }
    }

    /// <exception cref="ArgumentOutOfRangeException">No bins, or the range is empty or not finite.</exception>
    public static Histogram Of(ReadOnlySpan<float> values, double low, double high, int bins)
    {
        Check(low, high, bins);
        long[] counts = new long[bins];
        long below = 0;
        long above = 0;
        long missing = 0;
        double scale = bins / (high - low);
        foreach (float value in values)
        {
            Count(value, low, high, scale, counts, ref below, ref above, ref missing);
        }

        return new Histogram(low, high, counts, below, above, missing);
    }

    /// <inheritdoc cref="Of(ReadOnlySpan{float}, double, double, int)"/>
    public static Histogram Of(ReadOnlySpan<double> values, double low, double high, int bins)
    {
        Check(low, high, bins);
        long[] counts = new long[bins];
        long below = 0;
        long above = 0;
        long missing = 0;
        double scale = bins / (high - low);
        foreach (double value in values)
        {
            Count(value, low, high, scale, counts, ref below, ref above, ref missing);
        }

        return new Histogram(low, high, counts, below, above, missing);
    }

    /// <summary>Adds two of the same bins; exact, so the order of merging does not matter.</summary>
    /// <exception cref="ArgumentException">The bins differ.</exception>
    public static Histogram Merge(Histogram a, Histogram b)
    {
        ArgumentNullException.ThrowIfNull(a);
        ArgumentNullException.ThrowIfNull(b);
        if (!a.Low.Equals(b.Low) || !a.High.Equals(b.High) || a.Counts.Length != b.Counts.Length)
        {
            throw new ArgumentException(
                $"Bins differ: {a.Low}..{a.High} in {a.Counts.Length} and {b.Low}..{b.High} in {b.Counts.Length}.",
                nameof(b)
            );
        }

        long[] counts = (long[])a.Counts.Clone();
        for (int i = 0; i < counts.Length; i++)
        {
            counts[i] += b.Counts[i];
        }

        return new Histogram(a.Low, a.High, counts, a.Below + b.Below, a.Above + b.Above, a.Missing + b.Missing);
    }

    /// <summary>The quantile of the values inside the bins, linear within a bin: error up to one bin width. NaN when empty.</summary>
    public double Quantile(double p)
    {
        if (!(p >= 0 && p <= 1))
        {
            throw new ArgumentOutOfRangeException(nameof(p), p, "A quantile's share must lie in 0..1.");
        }

        double wanted = p * Total;
        double sum = 0;
        for (int bin = 0; bin < Counts.Length; bin++)
        {
            if (Counts[bin] > 0 && sum + Counts[bin] >= wanted)
            {
                return Low + (BinWidth * (bin + ((wanted - sum) / Counts[bin])));
            }

            sum += Counts[bin];
        }

        return double.NaN;
    }

    private static void Count(
        double value,
        double low,
        double high,
        double scale,
        long[] counts,
        ref long below,
        ref long above,
        ref long missing
    )
    {
        if (value >= low && value <= high)
        {
            counts[Math.Min((int)((value - low) * scale), counts.Length - 1)]++;
        }
        else if (value < low)
        {
            below++;
        }
        else if (value > high)
        {
            above++;
        }
        else
        {
            missing++;
        }
    }

    private static void Check(double low, double high, int bins)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(bins);
        if (!(high > low) || !double.IsFinite(high - low))
        {
            throw new ArgumentOutOfRangeException(
                nameof(high),
                high,
                $"The range from {low} must be finite and not empty."
            );
        }
    }
}
