using Hillrow.Numerics.Distributions;
using Hillrow.Numerics.Regression;

namespace Hillrow.Numerics.Statistics;

/// <summary>A test's statistic and p.</summary>
public sealed record TestResult(double Statistic, double PValue);

/// <summary>Tests of shape and spread.</summary>
public static class DistributionTests
{
    /// <summary>Bartlett's test of equal variances.</summary>
    /// <exception cref="ArgumentException">Fewer than two groups, or a group of one.</exception>
    /// <remarks>Source: Bartlett 1937 (doi 10.1098/rspa.1937.0109).</remarks>
    public static TestResult Bartlett(IReadOnlyList<double[]> groups)
    {
        ArgumentNullException.ThrowIfNull(groups);
        if (groups.Count < 2 || groups.Any(group => group.Length < 2))
        {
            throw new ArgumentException("Two or more groups of two or more values are needed.", nameof(groups));
        }

        double degrees = 0;
        double inverse = 0;
        double pooled = 0;
        double logs = 0;
        foreach (double[] group in groups)
        {
            double deviation = UnivariateSummary.Of(group).StandardDeviation;
            double own = group.Length - 1;
            degrees += own;
            inverse += 1 / own;
            pooled += own * deviation * deviation;
            logs += own * 2 * Math.Log(deviation);
        }

        double correction = 1 + ((inverse - (1 / degrees)) / (3.0 * (groups.Count - 1)));
        double statistic = ((degrees * Math.Log(pooled / degrees)) - logs) / correction;
        return new TestResult(statistic, ChiSquaredDistribution.UpperTail(statistic, groups.Count - 1));
    }

    /// <summary>Shapiro–Wilk test of normality, 3 to 5000 values.</summary>
    /// <exception cref="ArgumentException">Too few or too many values, one not finite, or all equal.</exception>
    /// <remarks>Source: Royston 1995, algorithm AS R94 (doi 10.2307/2986146); its constants from memory.</remarks>
    public static TestResult ShapiroWilk(ReadOnlySpan<double> values)
    {
        Finite.Check(values, nameof(values));
        int n = values.Length;
        if (n is < 3 or > 5000)
        {
            throw new ArgumentException($"{n} values; the test holds for 3 to 5000.", nameof(values));
        }

        double[] sorted = values.ToArray();
        Array.Sort(sorted);
        if (sorted[0].Equals(sorted[^1]))
        {
            throw new ArgumentException("All values are equal.", nameof(values));
        }

        double[] weights = ShapiroWeights(n);
        double mean = UnivariateSummary.Of(sorted).Mean;
        double weighted = 0;
        double squares = 0;
        for (int i = 0; i < n; i++)
        {
            double weight = i < n / 2 ? -weights[i] : 0;
            weight = i >= n - (n / 2) ? weights[n - 1 - i] : weight;
            double difference = sorted[i] - mean;
            weighted += weight * difference;
            squares += difference * difference;
        }

        double w = weighted * weighted / squares;
        return new TestResult(Math.Min(w, 1), ShapiroPValue(w, n));
    }

    /// <summary>Two-sample Kolmogorov–Smirnov: largest distance of the empirical distributions.</summary>
    /// <exception cref="ArgumentException">An empty sample or a value not finite.</exception>
    /// <remarks>Asymptotic p (Smirnov 1948, doi 10.1214/aoms/1177730256) with the effective count of Stephens 1970; a few percent off below 10 values a sample.</remarks>
    public static TestResult KolmogorovSmirnov(ReadOnlySpan<double> first, ReadOnlySpan<double> second)
    {
        if (first.IsEmpty || second.IsEmpty)
        {
            throw new ArgumentException("A sample is empty.", nameof(first));
        }

        Finite.Check(first, nameof(first));
        Finite.Check(second, nameof(second));
        double[] a = first.ToArray();
        double[] b = second.ToArray();
        Array.Sort(a);
        Array.Sort(b);
        int i = 0;
        int j = 0;
        double distance = 0;
        while (i < a.Length && j < b.Length)
        {
            double at = Math.Min(a[i], b[j]);
            while (i < a.Length && a[i] <= at)
            {
                i++;
            }

            while (j < b.Length && b[j] <= at)
            {
                j++;
            }

            distance = Math.Max(distance, Math.Abs(((double)i / a.Length) - ((double)j / b.Length)));
        }

        double root = Math.Sqrt((double)a.Length * b.Length / ((double)a.Length + b.Length));
        return new TestResult(distance, KolmogorovTail((root + 0.12 + (0.11 / root)) * distance));
    }

    /// <summary>Pearson's chi-squared of a table of counts, Rows × Columns.</summary>
    /// <exception cref="ArgumentException">A negative count, an empty row or column, or fewer than two of either.</exception>
    /// <remarks>Source: Pearson 1900 (doi 10.1080/14786440009463897).</remarks>
    public static TestResult ChiSquaredIndependence(ReadOnlySpan<double> counts, int rows, int columns)
    {
        Finite.CheckSameLength(counts.Length, rows * columns, "counts, rows × columns");
        double[] rowSums = new double[rows];
        double[] columnSums = new double[columns];
        double total = 0;
        for (int i = 0; i < counts.Length; i++)
        {
            if (!(counts[i] >= 0))
            {
                throw new ArgumentException($"counts[{i}] is {counts[i]}.", nameof(counts));
            }

            rowSums[i / columns] += counts[i];
            columnSums[i % columns] += counts[i];
            total += counts[i];
        }

        if (rows < 2 || columns < 2 || rowSums.Contains(0) || columnSums.Contains(0))
        {
            throw new ArgumentException("The table needs two rows and columns, none of them empty.", nameof(counts));
        }

        double statistic = 0;
        for (int i = 0; i < counts.Length; i++)
        {
            double expected = rowSums[i / columns] * columnSums[i % columns] / total;
            statistic += (counts[i] - expected) * (counts[i] - expected) / expected;
        }

        return new TestResult(statistic, ChiSquaredDistribution.UpperTail(statistic, (rows - 1.0) * (columns - 1)));
    }

    private static double KolmogorovTail(double x)
    {
        if (x < 0.2)
        {
            return 1;
        }

        double sum = 0;
        for (int k = 1; k < 200; k++)
        {
            double term = Math.Exp(-2.0 * k * k * x * x);
            sum += k % 2 == 1 ? term : -term;
            if (term < 1e-17)
            {
                break;
            }
        }

        return Math.Clamp(2 * sum, 0, 1);
    }

    private static double[] ShapiroWeights(int n)
    {
        int half = n / 2;
        double[] weights = new double[half];
        if (n == 3)
        {
            weights[0] = Math.Sqrt(0.5);
            return weights;
        }

        double[] scores = new double[half];
        double squares = 0;
        for (int i = 0; i < half; i++)
        {
            scores[i] = NormalDistribution.Quantile((i + 1 - 0.375) / (n + 0.25));
            squares += 2 * scores[i] * scores[i];
        }

        double length = Math.Sqrt(squares);
        double root = 1 / Math.Sqrt(n);
        double first = Polynomial([0, 0.221157, -0.147981, -2.07119, 4.434685, -2.706056], root) - (scores[0] / length);
        int from = 1;
        double factor;
        if (n > 5)
        {
            double second =
                Polynomial([0, 0.042981, -0.293762, -1.752461, 5.682633, -3.582633], root) - (scores[1] / length);
            factor = Math.Sqrt(
                (squares - (2 * scores[0] * scores[0]) - (2 * scores[1] * scores[1]))
                    / (1 - (2 * first * first) - (2 * second * second))
            );
            weights[1] = second;
            from = 2;
        }
        else
        {
            factor = Math.Sqrt((squares - (2 * scores[0] * scores[0])) / (1 - (2 * first * first)));
        }

        weights[0] = first;
        for (int i = from; i < half; i++)
        {
            weights[i] = -scores[i] / factor;
        }

        return weights;
    }

    private static double ShapiroPValue(double w, int n)
    {
        if (w >= 1)
        {
            return 1;
        }

        if (n == 3)
        {
            double p = 6 / Math.PI * (Math.Asin(Math.Sqrt(w)) - Math.Asin(Math.Sqrt(0.75)));
            return Math.Clamp(p, 0, 1);
        }

        double y = Math.Log(1 - w);
        double mean;
        double deviation;
        if (n <= 11)
        {
            double limit = Polynomial([-2.273, 0.459], n);
            if (y >= limit)
            {
                return 0;
            }

            y = -Math.Log(limit - y);
            mean = Polynomial([0.544, -0.39978, 0.025054, -6.714e-4], n);
            deviation = Math.Exp(Polynomial([1.3822, -0.77857, 0.062767, -0.0020322], n));
        }
        else
        {
            double log = Math.Log(n);
            mean = Polynomial([-1.5861, -0.31082, -0.083751, 0.0038915], log);
            deviation = Math.Exp(Polynomial([-0.4803, -0.082676, 0.0030302], log));
        }

        return NormalDistribution.UpperTail((y - mean) / deviation);
    }

    private static double Polynomial(ReadOnlySpan<double> coefficients, double x)
    {
        double value = 0;
        for (int i = coefficients.Length - 1; i >= 0; i--)
        {
            value = (value * x) + coefficients[i];
        }

        return value;
    }
}
