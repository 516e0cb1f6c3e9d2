using Hillrow.Numerics.Distributions;
using Hillrow.Numerics.Regression;

namespace Hillrow.Numerics.Statistics;

/// <summary>A rank test's statistic and two-sided p.</summary>
/// <param name="Exact">True when p counts every arrangement; false for the normal or chi-squared approximation.</param>
public sealed record RankTestResult(double Statistic, double PValue, bool Exact);

/// <summary>Tests on ranks.</summary>
public static class RankTests
{
    /// <summary>Exact counting up to this sample size, when there are no ties.</summary>
    private const int ExactBelow = 50;

    /// <summary>Mann–Whitney: the statistic counts pairs with first &gt; second (ties ½).</summary>
    /// <param name="allowExact">False forces the normal approximation with continuity and tie correction.</param>
    /// <exception cref="ArgumentException">An empty sample or a value not finite.</exception>
    /// <remarks>Source: Mann &amp; Whitney 1947 (doi 10.1214/aoms/1177730491), counts by their recursion.</remarks>
    public static RankTestResult MannWhitney(
        ReadOnlySpan<double> first,
        ReadOnlySpan<double> second,
        bool allowExact = true
    )
    {
        NotEmpty(first.Length, nameof(first));
        NotEmpty(second.Length, nameof(second));
        double m = first.Length;
        double n = second.Length;
        double[] ranks = Ranks.Of([.. first, .. second], out double ties);
        double statistic = Sum(ranks.AsSpan(0, first.Length)) - (m * (m + 1) / 2);
        if (allowExact && ties <= 0 && m < ExactBelow && n < ExactBelow)
        {
            return new RankTestResult(
                statistic,
                ExactTwoSided(MannWhitneyCounts(first.Length, second.Length), (int)statistic),
                Exact: true
            );
        }

        double total = m + n;
        double variance = m * n / 12 * (total + 1 - (ties / (total * (total - 1))));
        return Normal(statistic, m * n / 2, variance);
    }

    /// <summary>Wilcoxon's signed ranks of differences; zeros are left out; the statistic sums ranks of positive ones.</summary>
    /// <exception cref="ArgumentException">No differences, or one not finite.</exception>
    /// <remarks>Source: Wilcoxon 1945 (doi 10.2307/3001968).</remarks>
    public static RankTestResult SignedRank(ReadOnlySpan<double> differences, bool allowExact = true)
    {
        NotEmpty(differences.Length, nameof(differences));
        Finite.Check(differences, nameof(differences));
        double[] kept = Array.FindAll(differences.ToArray(), value => value != 0);
        double[] ranks = Ranks.Of(Array.ConvertAll(kept, Math.Abs), out double ties);
        double statistic = 0;
        for (int i = 0; i < kept.Length; i++)
        {
            statistic += kept[i] > 0 ? ranks[i] : 0;
        }

        double n = kept.Length;
        if (allowExact && ties <= 0 && n < ExactBelow && kept.Length == differences.Length)
        {
            return new RankTestResult(
                statistic,
                ExactTwoSided(SignedRankCounts(kept.Length), (int)statistic),
                Exact: true
            );
        }

        double variance = (n * (n + 1) * ((2 * n) + 1) / 24) - (ties / 48);
        return Normal(statistic, n * (n + 1) / 4, variance);
    }

    /// <summary>Kruskal–Wallis over groups 0..k−1, tie-corrected; chi-squared p.</summary>
    /// <param name="groups">Group of each value.</param>
    /// <exception cref="ArgumentException">Lengths differ or fewer than two groups.</exception>
    /// <remarks>Source: Kruskal &amp; Wallis 1952 (doi 10.1080/01621459.1952.10483441).</remarks>
    public static RankTestResult KruskalWallis(ReadOnlySpan<double> values, ReadOnlySpan<int> groups)
    {
        Finite.CheckSameLength(values.Length, groups.Length, "values, groups");
        double[] ranks = Ranks.Of(values, out double ties);
        Dictionary<int, (double Sum, int Count)> sums = [];
        for (int i = 0; i < groups.Length; i++)
        {
            (double sum, int count) = sums.GetValueOrDefault(groups[i]);
            sums[groups[i]] = (sum + ranks[i], count + 1);
        }

        if (sums.Count < 2)
        {
            throw new ArgumentException($"{sums.Count} group: the test compares two or more.", nameof(groups));
        }

        double n = values.Length;
        double squares = 0;
        foreach ((double sum, int count) in sums.Values)
        {
            squares += sum * sum / count;
        }

        double statistic = ((12 * squares / (n * (n + 1))) - (3 * (n + 1))) / (1 - (ties / ((n * n * n) - n)));
        return new RankTestResult(statistic, ChiSquaredDistribution.UpperTail(statistic, sums.Count - 1), Exact: false);
    }

    private static RankTestResult Normal(double statistic, double mean, double variance)
    {
        double difference = statistic - mean;
        double z = (difference - (0.5 * Math.Sign(difference))) / Math.Sqrt(variance);
        return new RankTestResult(statistic, Math.Min(1, NormalDistribution.TwoTails(z)), Exact: false);
    }

    private static double ExactTwoSided(double[] counts, int statistic)
    {
        double all = Sum(counts);
        double lower = Sum(counts.AsSpan(0, statistic + 1)) / all;
        double upper = Sum(counts.AsSpan(statistic)) / all;
        return Math.Min(1, 2 * Math.Min(lower, upper));
    }

    /// <summary>Arrangements by statistic, as coefficients of the Gaussian binomial (m + n choose m).</summary>
    private static double[] MannWhitneyCounts(int m, int n)
    {
        double[] counts = new double[(m * n) + 1];
        counts[0] = 1;
        for (int i = 1; i <= m; i++)
        {
            // multiply by 1 − q^(n+i), then divide by 1 − q^i
            for (int k = counts.Length - 1; k >= n + i; k--)
            {
                counts[k] -= counts[k - n - i];
            }

            for (int k = i; k < counts.Length; k++)
            {
                counts[k] += counts[k - i];
            }
        }

        return counts;
    }

    private static double[] SignedRankCounts(int n)
    {
        double[] counts = new double[(n * (n + 1) / 2) + 1];
        counts[0] = 1;
        for (int rank = 1; rank <= n; rank++)
        {
            for (int k = counts.Length - 1; k >= rank; k--)
            {
                counts[k] += counts[k - rank];
            }
        }

        return counts;
    }

    private static double Sum(ReadOnlySpan<double> values)
    {
        double sum = 0;
        foreach (double value in values)
        {
            sum += value;
        }

        return sum;
    }

    private static void NotEmpty(int count, string name)
    {
        if (count == 0)
        {
            throw new ArgumentException("The sample is empty.", name);
        }
    }
}
