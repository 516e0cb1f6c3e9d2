using Hillrow.Numerics.Distributions;
using Hillrow.Numerics.Regression;

namespace Hillrow.Numerics.SpatialStatistics;

/// <summary>Local Moran's I of one place with its moments.</summary>
public readonly record struct LocalMoran(double Statistic, double Expected, double Variance)
{
    public double Z => (Statistic - Expected) / Math.Sqrt(Variance);

    public double PTwoSided => NormalDistribution.TwoTails(Z);
}

/// <summary>Which random arrangement local moments are taken over.</summary>
public enum LocalNull
{
    /// <summary>The place keeps its value, the others are shuffled.</summary>
    Conditional,

    /// <summary>All values are shuffled.</summary>
    Total,
}

/// <summary>Where are like values together? One statistic a place.</summary>
public static class LocalAutocorrelation
{
    /// <summary>Local Moran, Iᵢ = zᵢ Σwᵢⱼzⱼ / m₂ with m₂ = Σz²/n.</summary>
    /// <exception cref="ArgumentException">Lengths differ, values not finite, or fewer than three places.</exception>
    /// <remarks>Sources: Anselin 1995 (doi 10.1111/j.1538-4632.1995.tb00338.x) for total, Sokal, Oden &amp; Thomson 1998 (doi 10.1111/j.1538-4632.1998.tb00406.x) for conditional moments. A place without neighbours gets 0, 0, 0 (z NaN).</remarks>
    public static LocalMoran[] Moran(
        ReadOnlySpan<double> values,
        NeighbourWeights weights,
        LocalNull nullHypothesis = LocalNull.Conditional
    )
    {
        Check(values, weights);
        double n = values.Length;
        double mean = (DoubleDouble.Total(values) / n).ToDouble();
        double[] centred = new double[values.Length];
        double second = 0;
        double fourth = 0;
        for (int i = 0; i < centred.Length; i++)
        {
            double z = values[i] - mean;
            centred[i] = z;
            second += z * z / n;
            fourth += z * z * z * z / n;
        }

        double kurtosis = fourth / (second * second);
        double scaleA = (n - kurtosis) / (n - 1);
        double scaleB = ((2 * kurtosis) - n) / ((n - 1) * (n - 2));
        LocalMoran[] result = new LocalMoran[values.Length];
        for (int i = 0; i < result.Length; i++)
        {
            (double sum, double squares) = RowSums(weights, i);
            double z = centred[i];
            double statistic = z * weights.Lag(i, centred) / second;
            double expected;
            double variance;
            if (nullHypothesis == LocalNull.Conditional)
            {
                expected = -(z * z * sum) / ((n - 1) * second);
                variance =
                    z
                    / second
                    * (z / second)
                    * (n / (n - 2))
                    * (squares - (sum * sum / (n - 1)))
                    * (second - (z * z / (n - 1)));
            }
            else
            {
                expected = -sum / (n - 1);
                variance = (scaleA * squares) + (scaleB * ((sum * sum) - squares)) - (expected * expected);
            }

            result[i] = new LocalMoran(statistic, expected, variance);
        }

        return result;
    }

    /// <summary>Getis and Ord's Gᵢ* as z: the place counts among its neighbours (pass weights <see cref="NeighbourWeights.WithSelf"/>).</summary>
    /// <returns>One z a place; NaN where the weights leave no variance.</returns>
    /// <exception cref="ArgumentException">As <see cref="Moran"/>.</exception>
    /// <remarks>Source: Ord &amp; Getis 1995 (doi 10.1111/j.1538-4632.1995.tb00912.x), eq. 14.</remarks>
    public static double[] GiStar(ReadOnlySpan<double> values, NeighbourWeights weightsWithSelf)
    {
        Check(values, weightsWithSelf);
        double n = values.Length;
        (double mean, double variance) = Spread(values);
        double[] z = new double[values.Length];
        for (int i = 0; i < z.Length; i++)
        {
            (double sum, double squares) = RowSums(weightsWithSelf, i);
            double spread = variance * ((n * squares) - (sum * sum)) / (n - 1);
            z[i] = (weightsWithSelf.Lag(i, values) - (sum * mean)) / Math.Sqrt(spread);
        }

        return z;
    }

    /// <summary>Getis and Ord's Gᵢ as z: the place itself is left out of mean and variance (weights without self).</summary>
    /// <exception cref="ArgumentException">As <see cref="Moran"/>, or a place is its own neighbour.</exception>
    /// <remarks>Source: Ord &amp; Getis 1995, eq. 13.</remarks>
    public static double[] Gi(ReadOnlySpan<double> values, NeighbourWeights weights)
    {
        Check(values, weights);
        double n = values.Length;
        (double mean, double variance) = Spread(values);
        double[] z = new double[values.Length];
        for (int i = 0; i < z.Length; i++)
        {
            if (weights.Between(i, i) != 0)
            {
                throw new ArgumentException($"Place {i} is its own neighbour; use {nameof(GiStar)}.", nameof(weights));
            }

            (double sum, double squares) = RowSums(weights, i);
            double own = values[i] - mean;
            double meanOthers = -own / (n - 1);
            double varianceOthers = (((n * variance) - (own * own)) / (n - 1)) - (meanOthers * meanOthers);
            double spread = varianceOthers * (((n - 1) * squares) - (sum * sum)) / (n - 2);
            double lag = weights.Lag(i, values) - (sum * mean);
            z[i] = (lag - (sum * meanOthers)) / Math.Sqrt(spread);
        }

        return z;
    }

    private static (double Mean, double Variance) Spread(ReadOnlySpan<double> values)
    {
        double mean = (DoubleDouble.Total(values) / values.Length).ToDouble();
        double sum = 0;
        foreach (double value in values)
        {
            sum += (value - mean) * (value - mean);
        }

        return (mean, sum / values.Length);
    }

    private static (double Sum, double Squares) RowSums(NeighbourWeights weights, int place)
    {
        double sum = 0;
        double squares = 0;
        foreach (double weight in weights.Weights(place))
        {
            sum += weight;
            squares += weight * weight;
        }

        return (sum, squares);
    }

    private static void Check(ReadOnlySpan<double> values, NeighbourWeights weights)
    {
        ArgumentNullException.ThrowIfNull(weights);
        Finite.CheckSameLength(values.Length, weights.Count, "values, weights");
        Finite.Check(values, nameof(values));
        if (values.Length < 3)
        {
            throw new ArgumentException($"{values.Length} places; three are needed.", nameof(values));
        }
    }
}
