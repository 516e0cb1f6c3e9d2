using Hillrow.Numerics.Distributions;
using Hillrow.Numerics.Regression;

namespace Hillrow.Numerics.Statistics;

/// <summary>A comparison of means.</summary>
/// <param name="Estimate">Mean difference (or mean less the null value's origin, for one sample: the mean).</param>
/// <param name="Low">Lower end of the confidence interval of the estimate.</param>
/// <param name="High">Upper end.</param>
/// <param name="PValue">Two-sided.</param>
public sealed record StudentTestResult(
    double Statistic,
    double Degrees,
    double PValue,
    double Estimate,
    double StandardError,
    double Low,
    double High
);

/// <summary>Student's and Welch's tests of means.</summary>
/// <remarks>Sources: Student 1908 (doi 10.1093/biomet/6.1.1); Welch 1947 (doi 10.1093/biomet/34.1-2.28).</remarks>
public static class StudentTests
{
    /// <summary>One sample against a null mean.</summary>
    /// <exception cref="ArgumentException">Fewer than two values, or one not finite.</exception>
    public static StudentTestResult OneSample(
        ReadOnlySpan<double> values,
        double nullMean = 0,
        double confidence = 0.95
    )
    {
        (double mean, double variance) = Moments(values);
        return Result(mean, nullMean, Math.Sqrt(variance / values.Length), values.Length - 1, confidence);
    }

    /// <summary>Differences first − second of pairs.</summary>
    /// <exception cref="ArgumentException">Lengths differ, fewer than two pairs, or a value not finite.</exception>
    public static StudentTestResult Paired(
        ReadOnlySpan<double> first,
        ReadOnlySpan<double> second,
        double confidence = 0.95
    )
    {
        Finite.CheckSameLength(first.Length, second.Length, "first, second");
        double[] differences = new double[first.Length];
        for (int i = 0; i < differences.Length; i++)
        {
            differences[i] = first[i] - second[i];
        }

        return OneSample(differences, 0, confidence);
    }

    /// <summary>Two independent samples of equal variance; the estimate is mean(first) − mean(second).</summary>
    public static StudentTestResult Pooled(
        ReadOnlySpan<double> first,
        ReadOnlySpan<double> second,
        double confidence = 0.95
    )
    {
        (double mean1, double variance1) = Moments(first);
        (double mean2, double variance2) = Moments(second);
        double degrees = first.Length + second.Length - 2;
        double pooled = (((first.Length - 1) * variance1) + ((second.Length - 1) * variance2)) / degrees;
        double error = Math.Sqrt(pooled * ((1.0 / first.Length) + (1.0 / second.Length)));
        return Result(mean1 - mean2, 0, error, degrees, confidence);
    }

    /// <summary>Two independent samples of unequal variance (Welch–Satterthwaite degrees).</summary>
    public static StudentTestResult Welch(
        ReadOnlySpan<double> first,
        ReadOnlySpan<double> second,
        double confidence = 0.95
    )
    {
        (double mean1, double variance1) = Moments(first);
        (double mean2, double variance2) = Moments(second);
        double part1 = variance1 / first.Length;
        double part2 = variance2 / second.Length;
        double sum = part1 + part2;
        double degrees = sum * sum / ((part1 * part1 / (first.Length - 1)) + (part2 * part2 / (second.Length - 1)));
        return Result(mean1 - mean2, 0, Math.Sqrt(sum), degrees, confidence);
    }

    private static StudentTestResult Result(
        double estimate,
        double nullValue,
        double error,
        double degrees,
        double confidence
    )
    {
        double t = (estimate - nullValue) / error;
        double p = double.IsNaN(t) ? double.NaN : StudentTDistribution.TwoTails(t, degrees);
        double reach = double.IsNaN(t)
            ? double.NaN
            : error * StudentTDistribution.UpperQuantile((1 - confidence) / 2, degrees);
        return new StudentTestResult(t, degrees, p, estimate, error, estimate - reach, estimate + reach);
    }

    private static (double Mean, double Variance) Moments(ReadOnlySpan<double> values)
    {
        Finite.Check(values, nameof(values));
        if (values.Length < 2)
        {
            throw new ArgumentException(
                $"A test of means needs two values a sample, not {values.Length}.",
                nameof(values)
            );
        }

        UnivariateSummary summary = UnivariateSummary.Of(values);
        return (summary.Mean, summary.StandardDeviation * summary.StandardDeviation);
    }
}
