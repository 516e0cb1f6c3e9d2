using Hillrow.Numerics.Regression;

namespace Hillrow.Numerics.Statistics;

/// <summary>Statistics of values that count by their weights (areas, inverse variances, sampling weights).</summary>
public static class WeightedStatistics
{
    /// <summary>Σwx / Σw.</summary>
    /// <exception cref="ArgumentException">Lengths differ or the weights do not add to more than 0.</exception>
    public static double Mean(ReadOnlySpan<double> values, ReadOnlySpan<double> weights)
    {
        double total = Total(values, weights);
        double sum = 0;
        for (int i = 0; i < values.Length; i++)
        {
            sum += weights[i] * values[i];
        }

        return sum / total;
    }

    /// <summary>Unbiased variance for reliability weights: Σw(x − x̄)² / (Σw − Σw²/Σw).</summary>
    /// <remarks>Source: Gatz &amp; Smith 1995 (doi 10.1016/1352-2310(94)00210-C), discussion of the unbiased form.</remarks>
    public static double Variance(ReadOnlySpan<double> values, ReadOnlySpan<double> weights)
    {
        double mean = Mean(values, weights);
        double total = 0;
        double squares = 0;
        double sum = 0;
        for (int i = 0; i < values.Length; i++)
        {
            double difference = values[i] - mean;
            sum += weights[i] * difference * difference;
            total += weights[i];
            squares += weights[i] * weights[i];
        }

        return sum / (total - (squares / total));
    }

    /// <summary>Kish's effective count (Σw)² / Σw²: how many equal weights tell as much.</summary>
    /// <remarks>Source: Kish 1965, Survey Sampling.</remarks>
    public static double EffectiveCount(ReadOnlySpan<double> weights)
    {
        double total = Total(weights, weights);
        double squares = 0;
        foreach (double weight in weights)
        {
            squares += weight * weight;
        }

        return total * total / squares;
    }

    /// <summary>The smallest value at which the summed weight reaches the share p; the mean of two at an exact tie.</summary>
    public static double Quantile(ReadOnlySpan<double> values, ReadOnlySpan<double> weights, double p)
    {
        if (!(p >= 0 && p <= 1))
        {
            throw new ArgumentOutOfRangeException(nameof(p), p, "A quantile's share must lie in 0..1.");
        }

        double wanted = Total(values, weights) * p;
        double[] sorted = values.ToArray();
        double[] ordered = weights.ToArray();
        Array.Sort(sorted, ordered);
        double sum = 0;
        for (int i = 0; i < sorted.Length; i++)
        {
            sum += ordered[i];
            if (sum > wanted || i == sorted.Length - 1)
            {
                return sorted[i];
            }

            if (sum.Equals(wanted) && ordered[i] > 0)
            {
                int next = i + 1;
                while (next < sorted.Length - 1 && ordered[next] <= 0)
                {
                    next++;
                }

                return (sorted[i] + sorted[next]) / 2;
            }
        }

        return double.NaN;
    }

    private static double Total(ReadOnlySpan<double> values, ReadOnlySpan<double> weights)
    {
        Finite.CheckSameLength(values.Length, weights.Length, "values, weights");
        double total = 0;
        foreach (double weight in weights)
        {
            total +=
                weight >= 0 && double.IsFinite(weight)
                    ? weight
                    : throw new ArgumentException(
                        $"A weight is {weight}; weights must be finite and 0 or more.",
                        nameof(weights)
                    );
        }

        return total > 0 ? total : throw new ArgumentException("The weights add to nothing.", nameof(weights));
    }
}
