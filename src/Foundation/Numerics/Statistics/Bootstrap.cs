namespace Hillrow.Numerics.Statistics;

/// <summary>Resampling with replacement; the same numbers for any number of threads.</summary>
/// <remarks>Source: Efron &amp; Tibshirani 1993, An Introduction to the Bootstrap, ch. 13 (percentile interval).</remarks>
public static class Bootstrap
{
    /// <summary>The statistic of each resample; resample i draws from the seed's i-th stream.</summary>
    /// <param name="statistic">Pure: called from several threads at once, with a buffer it may reorder.</param>
    /// <exception cref="ArgumentException">No values, or no resamples.</exception>
    public static double[] Replicates(
        ReadOnlyMemory<double> values,
        SpanStatistic statistic,
        int resamples,
        ulong seed,
        int threads = 1
    )
    {
        ArgumentNullException.ThrowIfNull(statistic);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(resamples);
        if (values.IsEmpty)
        {
            throw new ArgumentException("No values to resample.", nameof(values));
        }

        double[] replicates = new double[resamples];
        SplittableRandom root = new(seed);
        Parallel.For(
            0,
            resamples,
            new ParallelOptions { MaxDegreeOfParallelism = threads },
            () => new double[values.Length],
            (i, _, buffer) =>
            {
                SplittableRandom random = root.Split((ulong)i);
                ReadOnlySpan<double> source = values.Span;
                for (int k = 0; k < buffer.Length; k++)
                {
                    buffer[k] = source[random.NextInt32(source.Length)];
                }

                replicates[i] = statistic(buffer);
                return buffer;
            },
            _ => { }
        );
        return replicates;
    }

    /// <summary>Percentile interval of a statistic.</summary>
    public static Interval PercentileInterval(
        ReadOnlyMemory<double> values,
        SpanStatistic statistic,
        int resamples,
        ulong seed,
        double confidence = 0.95,
        int threads = 1
    )
    {
        double[] replicates = Replicates(values, statistic, resamples, seed, threads);
        Array.Sort(replicates);
        double tail = (1 - confidence) / 2;
        return new Interval(
            Quantiles.QuantileOfSorted(replicates, tail),
            Quantiles.QuantileOfSorted(replicates, 1 - tail)
        );
    }
}

/// <summary>A number from a sample; may reorder the buffer.</summary>
public delegate double SpanStatistic(Span<double> sample);
