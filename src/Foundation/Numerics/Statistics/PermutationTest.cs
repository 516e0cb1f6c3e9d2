using Hillrow.Numerics.Regression;

namespace Hillrow.Numerics.Statistics;

/// <summary>Tests by shuffling labels; the same p for any number of threads.</summary>
/// <remarks>Source: p = (1 + as extreme) / (1 + shuffles), Phipson &amp; Smyth 2010 (doi 10.2202/1544-6115.1585), never 0.</remarks>
public static class PermutationTest
{
    /// <summary>Two-sided test that two samples share their mean.</summary>
    /// <returns>Statistic: mean(first) − mean(second).</returns>
    /// <exception cref="ArgumentException">An empty sample or a value not finite.</exception>
    public static TestResult MeanDifference(
        ReadOnlyMemory<double> first,
        ReadOnlyMemory<double> second,
        int shuffles,
        ulong seed,
        int threads = 1
    )
    {
        if (first.IsEmpty || second.IsEmpty)
        {
            throw new ArgumentException("A sample is empty.", nameof(first));
        }

        Finite.Check(first.Span, nameof(first));
        Finite.Check(second.Span, nameof(second));
        double[] all = [.. first.Span, .. second.Span];
        int size = first.Length;
        double observed = Difference(all, size);

        // Sums of the same values in another order differ in their last digits; ties must count as ties.
        double limit = Math.Abs(observed) * (1 - 1e-12);
        SplittableRandom root = new(seed);
        int extreme = Count(
            shuffles,
            threads,
            i =>
            {
                double[] copy = (double[])all.Clone();
                root.Split((ulong)i).Shuffle<double>(copy);
                return Math.Abs(Difference(copy, size)) >= limit;
            }
        );
        return new TestResult(observed, (1.0 + extreme) / (1.0 + shuffles));
    }

    /// <summary>How many of the shuffles 0..count−1 answer yes; whole numbers, so their order does not matter.</summary>
    internal static int Count(int count, int threads, Func<int, bool> isExtreme)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(count);
        int total = 0;
        Parallel.For(
            0,
            count,
            new ParallelOptions { MaxDegreeOfParallelism = threads },
            () => 0,
            (i, _, sum) => sum + (isExtreme(i) ? 1 : 0),
            sum => Interlocked.Add(ref total, sum)
        );
        return total;
    }

    private static double Difference(ReadOnlySpan<double> all, int size)
    {
        double first = 0;
        double second = 0;
        for (int i = 0; i < all.Length; i++)
        {
            if (i < size)
            {
                first += all[i];
            }
            else
            {
                second += all[i];
            }
        }

        return (first / size) - (second / (all.Length - size));
    }
}
