using Hillrow.Numerics.Regression;

namespace Hillrow.Numerics.SpatialStatistics;

/// <summary>Permutation p of spatial statistics; the same for any number of threads.</summary>
/// <remarks>Sources: Anselin 1995 (conditional permutation); Phipson &amp; Smyth 2010 for (1 + extreme) / (1 + shuffles).</remarks>
public static class SpatialPermutation
{
    private const int Block = 256;

    /// <summary>
    /// Two-sided conditional p of each place's neighbour sum (that of local Moran, Gi and Gi* alike): the place
    /// keeps its value, its neighbours are drawn without replacement from all others.
    /// </summary>
    /// <param name="weights">A place that is its own neighbour keeps that part.</param>
    /// <returns>Twice the smaller tail, at most 1; NaN for a place without neighbours.</returns>
    /// <exception cref="ArgumentException">Lengths differ, or a value not finite.</exception>
    public static double[] LocalPValues(
        ReadOnlyMemory<double> values,
        NeighbourWeights weights,
        int shuffles,
        ulong seed,
        int threads = 1
    )
    {
        ArgumentNullException.ThrowIfNull(weights);
        return LocalPValues(values, weights, [.. Enumerable.Range(0, weights.Count)], shuffles, seed, threads);
    }

    /// <summary>As above for some places only; each gets the p that it would get among all.</summary>
    /// <param name="places">Indexes of the places asked for.</param>
    /// <returns>In the order of <paramref name="places"/>.</returns>
    public static double[] LocalPValues(
        ReadOnlyMemory<double> values,
        NeighbourWeights weights,
        IReadOnlyList<int> places,
        int shuffles,
        ulong seed,
        int threads = 1
    )
    {
        ArgumentNullException.ThrowIfNull(weights);
        ArgumentNullException.ThrowIfNull(places);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(shuffles);
        Finite.CheckSameLength(values.Length, weights.Count, "values, weights");
        Finite.Check(values.Span, nameof(values));
        double[] p = new double[places.Count];
        SplittableRandom root = new(seed);
        Parallel.For(
            0,
            (places.Count + Block - 1) / Block,
            new ParallelOptions { MaxDegreeOfParallelism = threads },
            block =>
            {
                int end = Math.Min(places.Count, (block + 1) * Block);
                for (int at = block * Block; at < end; at++)
                {
                    p[at] = OfPlace(values.Span, weights, places[at], shuffles, root.Split((ulong)places[at]));
                }
            }
        );
        return p;
    }

    private static double OfPlace(
        ReadOnlySpan<double> values,
        NeighbourWeights weights,
        int place,
        int shuffles,
        SplittableRandom random
    )
    {
        double own = weights.Between(place, place);
        List<double> kept = [];
        ReadOnlySpan<int> neighbours = weights.Neighbours(place);
        ReadOnlySpan<double> row = weights.Weights(place);
        double observed = 0;
        for (int k = 0; k < row.Length; k++)
        {
            if (neighbours[k] != place)
            {
                kept.Add(row[k]);
                observed += row[k] * values[neighbours[k]];
            }
        }

        if (kept.Count == 0 && own <= 0)
        {
            return double.NaN;
        }

        if (kept.Count > (values.Length - 1) / 2)
        {
            throw new ArgumentException(
                $"Place {place} has {kept.Count} neighbours among {values.Length} places; permutation wants fewer than half.",
                nameof(weights)
            );
        }

        double slack = 1e-12 * Math.Abs(observed);
        int above = 0;
        int below = 0;
        HashSet<int> drawn = [];
        for (int shuffle = 0; shuffle < shuffles; shuffle++)
        {
            drawn.Clear();
            double sum = 0;
            for (int k = 0; k < kept.Count; k++)
            {
                // Drawing again on a repeat is cheap: neighbours are few among many places.
                int other;
                do
                {
                    other = random.NextInt32(values.Length);
                } while (other == place || !drawn.Add(other));

                sum += kept[k] * values[other];
            }

            above += sum >= observed - slack ? 1 : 0;
            below += sum <= observed + slack ? 1 : 0;
        }

        return Math.Min(1, 2 * (1.0 + Math.Min(above, below)) / (1.0 + shuffles));
    }
}
