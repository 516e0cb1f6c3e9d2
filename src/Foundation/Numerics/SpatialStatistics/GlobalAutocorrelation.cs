using Hillrow.Numerics.Distributions;
using Hillrow.Numerics.Regression;

namespace Hillrow.Numerics.SpatialStatistics;

/// <summary>A spatial statistic with its moments when values lie at random.</summary>
/// <param name="Z">Positive for clustering of like values.</param>
public sealed record SpatialTestResult(double Statistic, double Expected, double Variance, double Z)
{
    /// <summary>One-sided p of clustering.</summary>
    public double PGreater => NormalDistribution.UpperTail(Z);

    public double PTwoSided => NormalDistribution.TwoTails(Z);
}

/// <summary>Under which null hypothesis moments are taken.</summary>
public enum SpatialNull
{
    /// <summary>The observed values fall on the places in random order.</summary>
    Randomisation,

    /// <summary>Values are independent normal.</summary>
    Normality,
}

/// <summary>
/// Are like values near each other over a whole area? Places without neighbours keep weight 0; the count in the
/// formulas is that of places with neighbours.
/// </summary>
/// <remarks>Sources: Cliff &amp; Ord 1981, Spatial Processes, ch. 1–2 (Moran, Geary, join counts); Getis &amp; Ord 1992 (doi 10.1111/j.1538-4632.1992.tb00261.x).</remarks>
public static class GlobalAutocorrelation
{
    /// <summary>Moran's I.</summary>
    /// <exception cref="ArgumentException">Lengths differ, values not finite or all equal, or fewer than four places with neighbours.</exception>
    public static SpatialTestResult Moran(
        ReadOnlySpan<double> values,
        NeighbourWeights weights,
        SpatialNull nullHypothesis = SpatialNull.Randomisation
    )
    {
        Population population = new(values, weights);
        (double n, double s0, double s1, double s2) = population.Terms;
        double lagged = 0;
        for (int i = 0; i < values.Length; i++)
        {
            lagged += population.Centred[i] * weights.Lag(i, population.Centred);
        }

        double statistic = n / s0 * (lagged / population.Squares);
        double expected = -1 / (n - 1);
        double square = s0 * s0;
        double k = population.Kurtosis;
        double variance;
        if (nullHypothesis == SpatialNull.Normality)
        {
            variance = (((n * n * s1) - (n * s2) + (3 * square)) / (square * ((n * n) - 1))) - (expected * expected);
        }
        else
        {
            double plain = n * ((s1 * ((n * n) - (3 * n) + 3)) - (n * s2) + (3 * square));
            double peaked = k * ((s1 * ((n * n) - n)) - (2 * n * s2) + (6 * square));
            variance = ((plain - peaked) / ((n - 1) * (n - 2) * (n - 3) * square)) - (expected * expected);
        }

        return new SpatialTestResult(statistic, expected, variance, (statistic - expected) / Math.Sqrt(variance));
    }

    /// <summary>Geary's C; 1 without pattern, below 1 for clustering (z is turned so that clustering is positive).</summary>
    /// <exception cref="ArgumentException">As <see cref="Moran"/>.</exception>
    public static SpatialTestResult Geary(
        ReadOnlySpan<double> values,
        NeighbourWeights weights,
        SpatialNull nullHypothesis = SpatialNull.Randomisation
    )
    {
        Population population = new(values, weights);
        (double n, double s0, double s1, double s2) = population.Terms;
        double differences = 0;
        for (int i = 0; i < values.Length; i++)
        {
            ReadOnlySpan<int> neighbours = weights.Neighbours(i);
            ReadOnlySpan<double> row = weights.Weights(i);
            for (int k = 0; k < row.Length; k++)
            {
                double difference = values[i] - values[neighbours[k]];
                differences += row[k] * difference * difference;
            }
        }

        double statistic = (n - 1) / (2 * s0) * (differences / population.Squares);
        double square = s0 * s0;
        double kurtosis = population.Kurtosis;
        double variance;
        if (nullHypothesis == SpatialNull.Normality)
        {
            variance = ((((2 * s1) + s2) * (n - 1)) - (4 * square)) / (2 * (n + 1) * square);
        }
        else
        {
            double first = (n - 1) * s1 * ((n * n) - (3 * n) + 3 - ((n - 1) * kurtosis));
            double second = 0.25 * (n - 1) * s2 * ((n * n) + (3 * n) - 6 - (kurtosis * ((n * n) - n + 2)));
            double third = square * ((n * n) - 3 - ((n - 1) * (n - 1) * kurtosis));
            variance = (first - second + third) / (n * (n - 2) * (n - 3) * square);
        }

        return new SpatialTestResult(statistic, 1, variance, (1 - statistic) / Math.Sqrt(variance));
    }

    /// <summary>Getis and Ord's general G of values of one sign: high z, high values together; low z, low values together.</summary>
    /// <exception cref="ArgumentException">As <see cref="Moran"/>, or a value below 0.</exception>
    public static SpatialTestResult GeneralG(ReadOnlySpan<double> values, NeighbourWeights weights)
    {
        foreach (double value in values)
        {
            if (value < 0)
            {
                throw new ArgumentException($"The general G wants values of 0 or more, not {value}.", nameof(values));
            }
        }

        (double n, double s0, double s1, double s2) = new Population(values, weights).Terms;
        double m1 = 0;
        double m2 = 0;
        double m3 = 0;
        double m4 = 0;
        double products = 0;
        for (int i = 0; i < values.Length; i++)
        {
            double x = values[i];
            m1 += x;
            m2 += x * x;
            m3 += x * x * x;
            m4 += x * x * x * x;
            products += x * weights.Lag(i, values);
        }

        double square = s0 * s0;
        double b0 = (((n * n) - (3 * n) + 3) * s1) - (n * s2) + (3 * square);
        double b1 = -((((n * n) - n) * s1) - (2 * n * s2) + (6 * square));
        double b2 = -((2 * n * s1) - ((n + 3) * s2) + (6 * square));
        double b3 = (4 * (n - 1) * s1) - (2 * (n + 1) * s2) + (8 * square);
        double b4 = s1 - s2 + square;
        double pairs = (m1 * m1) - m2;
        double statistic = products / pairs;
        double expected = s0 / (n * (n - 1));
        double sum = (b0 * m2 * m2) + (b1 * m4) + (b2 * m1 * m1 * m2) + (b3 * m1 * m3) + (b4 * m1 * m1 * m1 * m1);
        double variance = (sum / (pairs * pairs * n * (n - 1) * (n - 2) * (n - 3))) - (expected * expected);
        return new SpatialTestResult(statistic, expected, variance, (statistic - expected) / Math.Sqrt(variance));
    }

    /// <summary>Joins of two places of the one kind (half the weight sum), sampling without replacement.</summary>
    public static SpatialTestResult JoinsWithin(ReadOnlySpan<bool> marked, NeighbourWeights weights)
    {
        ArgumentNullException.ThrowIfNull(weights);
        double count = Joins(marked, weights, alike: true);
        (double n, double m, WeightSums sums) = Kinds(marked, weights);
        double pairs = m * (m - 1) / (n * (n - 1));
        double triples = pairs * (m - 2) / (n - 2);
        double fours = triples * (m - 3) / (n - 3);
        double expected = sums.S0 * pairs / 2;
        double variance =
            (
                (sums.S1 * pairs)
                + ((sums.S2 - (2 * sums.S1)) * triples)
                + (((sums.S0 * sums.S0) + sums.S1 - sums.S2) * fours)
            ) / 4
            - (expected * expected);
        return new SpatialTestResult(count, expected, variance, (count - expected) / Math.Sqrt(variance));
    }

    /// <summary>Joins of a marked with an unmarked place; few of them (z below 0) mean clustering.</summary>
    public static SpatialTestResult JoinsBetween(ReadOnlySpan<bool> marked, NeighbourWeights weights)
    {
        ArgumentNullException.ThrowIfNull(weights);
        double count = Joins(marked, weights, alike: false);
        (double n, double m, WeightSums sums) = Kinds(marked, weights);
        double rest = n - m;
        double pairs = m * rest / (n * (n - 1));
        double fours = m * (m - 1) * rest * (rest - 1) / (n * (n - 1) * (n - 2) * (n - 3));
        double expected = sums.S0 * pairs;
        double variance =
            (
                (2 * sums.S1 * pairs)
                + ((sums.S2 - (2 * sums.S1)) * pairs)
                + (4 * ((sums.S0 * sums.S0) + sums.S1 - sums.S2) * fours)
            ) / 4
            - (expected * expected);
        return new SpatialTestResult(count, expected, variance, (count - expected) / Math.Sqrt(variance));
    }

    private static double Joins(ReadOnlySpan<bool> marked, NeighbourWeights weights, bool alike)
    {
        Finite.CheckSameLength(marked.Length, weights.Count, "marked, weights");
        double sum = 0;
        for (int i = 0; i < marked.Length; i++)
        {
            ReadOnlySpan<int> neighbours = weights.Neighbours(i);
            ReadOnlySpan<double> row = weights.Weights(i);
            for (int k = 0; k < row.Length; k++)
            {
                bool counts = alike ? marked[i] && marked[neighbours[k]] : marked[i] != marked[neighbours[k]];
                sum += counts ? row[k] : 0;
            }
        }

        return sum / 2;
    }

    private static (double Count, double Marked, WeightSums Sums) Kinds(
        ReadOnlySpan<bool> marked,
        NeighbourWeights weights
    )
    {
        double count = 0;
        foreach (bool mark in marked)
        {
            count += mark ? 1 : 0;
        }

        WeightSums sums = weights.Sums();
        return (marked.Length - sums.Isolated, count, sums);
    }

    /// <summary>Centred values with the sums that the moments need.</summary>
    private sealed class Population
    {
        public Population(ReadOnlySpan<double> values, NeighbourWeights weights)
        {
            ArgumentNullException.ThrowIfNull(weights);
            Finite.CheckSameLength(values.Length, weights.Count, "values, weights");
            Finite.Check(values, nameof(values));
            WeightSums sums = weights.Sums();
            double n = values.Length - sums.Isolated;
            if (n < 4)
            {
                throw new ArgumentException($"{n} places have neighbours; four are needed.", nameof(weights));
            }

            DoubleDouble mean = DoubleDouble.Total(values) / values.Length;
            Centred = new double[values.Length];
            double fourth = 0;
            for (int i = 0; i < values.Length; i++)
            {
                double z = (values[i] - mean).ToDouble();
                Centred[i] = z;
                Squares += z * z;
                fourth += z * z * z * z;
            }

            if (Squares <= 0)
            {
                throw new ArgumentException("All values are equal: there is no pattern to test.", nameof(values));
            }

            Kurtosis = values.Length * fourth / (Squares * Squares);
            Terms = (n, sums.S0, sums.S1, sums.S2);
        }

        public double[] Centred { get; }

        public double Squares { get; }

        public double Kurtosis { get; }

        public (double Count, double S0, double S1, double S2) Terms { get; }
    }
}
