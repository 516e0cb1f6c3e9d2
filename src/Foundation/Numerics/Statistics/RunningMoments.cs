namespace Hillrow.Numerics.Statistics;

/// <summary>Count, mean and central sums up to the fourth of a stream; two of them merge into one.</summary>
/// <remarks>
/// Sources: Welford 1962 (doi 10.1080/00401706.1962.10490022); Pébay 2008, SAND2008-6212, eqs. 2.1 and 3.1. Merging is
/// not bitwise associative: merge fixed blocks in a fixed order (<see cref="Over"/> does) and the result does not
/// depend on the number of threads. NaN are skipped by nobody: leave them out before.
/// </remarks>
public record struct RunningMoments
{
    private const int Block = 1 << 15;

    private double second;
    private double third;
    private double fourth;

    public long Count { get; private set; }

    public double Mean { get; private set; }

    public double Minimum { get; private set; }

    public double Maximum { get; private set; }

    /// <summary>Sample variance (n − 1); NaN below two values.</summary>
    public readonly double Variance => Count > 1 ? second / (Count - 1) : double.NaN;

    public readonly double StandardDeviation => Math.Sqrt(Variance);

    /// <summary>Sum of squared differences from the mean.</summary>
    public readonly double CentralSquares => second;

    /// <summary>Third standardised moment, divisor n.</summary>
    public readonly double Skewness => Math.Sqrt(Count) * third / Math.Pow(second, 1.5);

    /// <summary>Fourth standardised moment less 3, divisor n.</summary>
    public readonly double ExcessKurtosis => (Count * fourth / (second * second)) - 3;

    public void Add(double value)
    {
        RunningMoments one = new()
        {
            Count = 1,
            Mean = value,
            Minimum = value,
            Maximum = value,
        };
        this = Count == 0 ? one : Merge(this, one);
    }

    public static RunningMoments Merge(RunningMoments a, RunningMoments b)
    {
        if (a.Count == 0 || b.Count == 0)
        {
            return a.Count == 0 ? b : a;
        }

        double na = a.Count;
        double nb = b.Count;
        double n = na + nb;
        double delta = b.Mean - a.Mean;
        double step = delta / n;
        return new RunningMoments
        {
            Count = a.Count + b.Count,
            Mean = a.Mean + (step * nb),
            Minimum = Math.Min(a.Minimum, b.Minimum),
            Maximum = Math.Max(a.Maximum, b.Maximum),
            second = a.second + b.second + (delta * step * na * nb),
            third =
                a.third
                + b.third
                + (delta * step * step * na * nb * (na - nb))
                + (3 * step * ((na * b.second) - (nb * a.second))),
            fourth =
                a.fourth
                + b.fourth
                + (delta * step * step * step * na * nb * ((na * na) - (na * nb) + (nb * nb)))
                + (6 * step * step * ((na * na * b.second) + (nb * nb * a.second)))
                + (4 * step * ((na * b.third) - (nb * a.third))),
        };
    }

    /// <summary>Moments of all values, in parallel; the same bits for any number of threads.</summary>
    public static RunningMoments Over(ReadOnlyMemory<double> values, int threads = 1)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(threads);
        int blocks = (values.Length + Block - 1) / Block;
        RunningMoments[] parts = new RunningMoments[blocks];
        Parallel.For(
            0,
            blocks,
            new ParallelOptions { MaxDegreeOfParallelism = threads },
            block =>
            {
                int start = block * Block;
                parts[block] = OfBlock(values.Span.Slice(start, Math.Min(Block, values.Length - start)));
            }
        );
        RunningMoments total = default;
        foreach (RunningMoments part in parts)
        {
            total = Merge(total, part);
        }

        return total;
    }

    /// <summary>Two passes over one block: mean first, then central sums.</summary>
    private static RunningMoments OfBlock(ReadOnlySpan<double> values)
    {
        double sum = 0;
        double minimum = double.PositiveInfinity;
        double maximum = double.NegativeInfinity;
        double first = values[0];
        foreach (double value in values)
        {
            sum += value - first;
            minimum = Math.Min(minimum, value);
            maximum = Math.Max(maximum, value);
        }

        double mean = first + (sum / values.Length);
        double s1 = 0;
        double s2 = 0;
        double s3 = 0;
        double s4 = 0;
        foreach (double value in values)
        {
            double difference = value - mean;
            double square = difference * difference;
            s1 += difference;
            s2 += square;
            s3 += square * difference;
            s4 += square * square;
        }

        return new RunningMoments
        {
            Count = values.Length,
            Mean = mean,
            Minimum = minimum,
            Maximum = maximum,
            second = s2 - (s1 * s1 / values.Length),
            third = s3,
            fourth = s4,
        };
    }
}
