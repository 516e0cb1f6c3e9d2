namespace Hillrow.Numerics.Statistics;

/// <summary>Order statistics: exact selection in O(n), sample quantiles, median and its absolute deviation.</summary>
/// <remarks>NaN is not allowed in any input and not checked: with it the order, and so the result, has no meaning.</remarks>
public static class Quantiles
{
    /// <summary>MAD times this estimates the standard deviation of normal data: 1 / Φ⁻¹(¾).</summary>
    public const double NormalConsistency = 1.482602218505602;

    /// <summary>The value of rank <paramref name="rank"/> (0 = smallest); reorders the values so that it stands at its rank.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Rank outside the values.</exception>
    /// <remarks>Hoare's quickselect (1961, doi 10.1145/366622.366647) with a median-of-three pivot; O(n) on average.</remarks>
    public static double SelectInPlace(Span<double> values, int rank)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(rank);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(rank, values.Length);
        int left = 0;
        int right = values.Length - 1;
        int budget = 8 + (4 * (32 - int.LeadingZeroCount(values.Length)));
        while (right > left)
        {
            if (budget-- == 0)
            {
                // Adversarial order: sorting the rest bounds the time.
                values[left..(right + 1)].Sort();
                return values[rank];
            }

            double pivot = MedianOfThree(values[left], values[left + ((right - left) / 2)], values[right]);
            int i = left;
            int j = right;
            while (i <= j)
            {
                while (values[i] < pivot)
                {
                    i++;
                }

                while (values[j] > pivot)
                {
                    j--;
                }

                if (i <= j)
                {
                    (values[i], values[j]) = (values[j], values[i]);
                    i++;
                    j--;
                }
            }

            if (rank <= j)
            {
                right = j;
            }
            else if (rank >= i)
            {
                left = i;
            }
            else
            {
                break;
            }
        }

        return values[rank];
    }

    /// <summary>Median; the mean of the two middle values for an even count. Reorders the values.</summary>
    /// <exception cref="ArgumentException">No values.</exception>
    public static double MedianInPlace(Span<double> values) => QuantileInPlace(values, 0.5);

    public static double Median(ReadOnlySpan<double> values) => MedianInPlace(values.ToArray());

    /// <summary>Median absolute deviation from the median, without the normal factor (<see cref="NormalConsistency"/>).</summary>
    /// <exception cref="ArgumentException">No values.</exception>
    public static double MedianAbsoluteDeviation(ReadOnlySpan<double> values)
    {
        double[] copy = values.ToArray();
        double median = MedianInPlace(copy);
        for (int i = 0; i < copy.Length; i++)
        {
            copy[i] = Math.Abs(copy[i] - median);
        }

        return MedianInPlace(copy);
    }

    /// <summary>Quantile of type 7 (linear between order statistics at (n − 1) p). Reorders the values.</summary>
    /// <exception cref="ArgumentException">No values, or p outside 0..1.</exception>
    /// <remarks>Source: Hyndman &amp; Fan 1996 (doi 10.1080/00031305.1996.10473566), definition 7.</remarks>
    public static double QuantileInPlace(Span<double> values, double p)
    {
        Check(values.Length, p);
        return At(values, (values.Length - 1) * p);
    }

    public static double Quantile(ReadOnlySpan<double> values, double p) => QuantileInPlace(values.ToArray(), p);

    /// <summary>Quantile of type 8 (median-unbiased): order statistics at (n + ⅓) p + ⅓.</summary>
    /// <exception cref="ArgumentException">No values, or p outside 0..1.</exception>
    /// <remarks>Source: Hyndman &amp; Fan 1996, definition 8.</remarks>
    public static double QuantileMedianUnbiased(ReadOnlySpan<double> values, double p)
    {
        Check(values.Length, p);
        double position = ((values.Length + (1.0 / 3)) * p) + (1.0 / 3) - 1;
        return At(values.ToArray(), Math.Clamp(position, 0, values.Length - 1));
    }

    /// <summary>Type-7 quantiles of sorted values.</summary>
    public static double QuantileOfSorted(ReadOnlySpan<double> sorted, double p)
    {
        Check(sorted.Length, p);
        double position = (sorted.Length - 1) * p;
        int below = (int)Snap(position);
        double share = Snap(position) - below;
        return share <= 0 ? sorted[below] : sorted[below] + (share * (sorted[below + 1] - sorted[below]));
    }

    private static double At(Span<double> values, double position)
    {
        double snapped = Snap(position);
        int below = (int)snapped;
        double share = snapped - below;
        double first = SelectInPlace(values, below);
        if (share <= 0)
        {
            return first;
        }

        double second = double.PositiveInfinity;
        foreach (double value in values[(below + 1)..])
        {
            second = Math.Min(second, value);
        }

        return share.Equals(0.5) ? (first + second) / 2 : first + (share * (second - first));
    }

    /// <summary>A position within rounding of a rank is that rank.</summary>
    private static double Snap(double position)
    {
        double whole = Math.Round(position);
        return Math.Abs(position - whole) < 4e-15 * Math.Max(1, whole) ? whole : position;
    }

    private static void Check(int count, double p)
    {
        if (count == 0)
        {
            throw new ArgumentException("No values: a quantile needs at least one.", nameof(count));
        }

        if (!(p >= 0 && p <= 1))
        {
            throw new ArgumentOutOfRangeException(nameof(p), p, "A quantile's share must lie in 0..1.");
        }
    }

    private static double MedianOfThree(double a, double b, double c) =>
        Math.Max(Math.Min(a, b), Math.Min(Math.Max(a, b), c));
}
