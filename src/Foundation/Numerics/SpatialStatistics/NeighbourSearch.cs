namespace Hillrow.Numerics.SpatialStatistics;

/// <summary>Finds neighbours of points in the plane with a hashed grid; O(n) for evenly spread points such as plants.</summary>
public static class NeighbourSearch
{
    /// <summary>All others within the distance, weight 1; symmetric.</summary>
    /// <param name="x">Metres, any plane frame; finite.</param>
    /// <param name="y">Same length.</param>
    /// <param name="distance">Above 0; a pair at exactly this distance counts.</param>
    /// <exception cref="ArgumentException">Lengths differ or a coordinate is not finite.</exception>
    public static NeighbourWeights WithinDistance(
        ReadOnlyMemory<double> x,
        ReadOnlyMemory<double> y,
        double distance,
        int threads = 1
    )
    {
        if (!(distance > 0) || !double.IsFinite(distance))
        {
            throw new ArgumentOutOfRangeException(
                nameof(distance),
                distance,
                "The distance must be finite and above 0."
            );
        }

        PointGrid grid = new(x.ToArray(), y.ToArray(), distance);
        return Collect(
            grid,
            threads,
            (int place, List<(double Square, int Place)> found) => grid.Within(place, distance, found)
        );
    }

    /// <summary>The k nearest others, weight 1; ties at the k-th go to the lower index. Not symmetric in general.</summary>
    /// <param name="k">0 &lt; k &lt; number of points.</param>
    public static NeighbourWeights Nearest(ReadOnlyMemory<double> x, ReadOnlyMemory<double> y, int k, int threads = 1)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(k);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(k, x.Length);
        PointGrid grid = new(x.ToArray(), y.ToArray(), PointGrid.CellFor(x.Span, y.Span, Math.Max(2, k / 3.0)));
        return Collect(
            grid,
            threads,
            (int place, List<(double Square, int Place)> found) => grid.Nearest(place, k, found)
        );
    }

    private static NeighbourWeights Collect(
        PointGrid grid,
        int threads,
        Action<int, List<(double Square, int Place)>> search
    )
    {
        int count = grid.Count;
        const int Block = 4096;
        int blocks = (count + Block - 1) / Block;
        int[] sizes = new int[count];
        int[][] found = new int[blocks][];
        Parallel.For(
            0,
            blocks,
            new ParallelOptions { MaxDegreeOfParallelism = threads },
            block =>
            {
                List<(double Square, int Place)> scratch = [];
                List<int> gathered = [];
                int end = Math.Min(count, (block + 1) * Block);
                for (int place = block * Block; place < end; place++)
                {
                    scratch.Clear();
                    search(place, scratch);
                    sizes[place] = scratch.Count;
                    int from = gathered.Count;
                    foreach ((double _, int neighbour) in scratch)
                    {
                        gathered.Add(neighbour);
                    }

                    gathered.Sort(from, scratch.Count, comparer: null);
                }

                found[block] = [.. gathered];
            }
        );
        int[] starts = new int[count + 1];
        for (int place = 0; place < count; place++)
        {
            starts[place + 1] = starts[place] + sizes[place];
        }

        int[] neighbours = new int[starts[^1]];
        for (int block = 0; block < blocks; block++)
        {
            found[block].CopyTo(neighbours, starts[block * Block]);
        }

        return NeighbourWeights.OfRows(starts, neighbours);
    }
}
