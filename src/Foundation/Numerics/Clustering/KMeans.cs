using Hillrow.Numerics.Regression;

namespace Hillrow.Numerics.Clustering;

/// <summary>Groups of points about their means.</summary>
/// <param name="Centres">Clusters × Columns, row-major.</param>
/// <param name="Labels">Cluster of each row.</param>
/// <param name="WithinSquares">Summed squared distance to the centre, a value a cluster.</param>
/// <param name="Converged">False when the iterations ran out.</param>
public sealed record KMeansResult(
    double[] Centres,
    int[] Labels,
    int[] Sizes,
    double[] WithinSquares,
    double BetweenSquares,
    int Iterations,
    bool Converged
)
{
    public double TotalWithinSquares => WithinSquares.Sum();
}

/// <summary>k-means by Lloyd's iteration, run until no label changes.</summary>
/// <remarks>Sources: Lloyd 1982 (doi 10.1109/TIT.1982.1056489); seeding: Arthur &amp; Vassilvitskii 2007, k-means++.</remarks>
public static class KMeans
{
    private const int MaxIterations = 10_000;

    /// <summary>Clusters from seeded starts; the best of several wins.</summary>
    /// <param name="points">Rows × Columns, row-major, finite; scale the columns alike first.</param>
    /// <exception cref="ArgumentException">Lengths do not fit, values not finite, or more clusters than rows.</exception>
    public static KMeansResult Cluster(
        ReadOnlySpan<double> points,
        int columns,
        int clusters,
        ulong seed,
        int starts = 10
    )
    {
        int rows = Check(points, columns, clusters);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(starts);
        SplittableRandom root = new(seed);
        KMeansResult? best = null;
        for (int start = 0; start < starts; start++)
        {
            double[] centres = SpreadStart(points, rows, columns, clusters, root.Split((ulong)start));
            KMeansResult result = FromCentres(points, columns, centres);
            if (best is null || result.TotalWithinSquares < best.TotalWithinSquares)
            {
                best = result;
            }
        }

        return best!;
    }

    /// <summary>Lloyd's iteration from given centres (Clusters × Columns). A cluster that loses all rows keeps its centre.</summary>
    /// <exception cref="ArgumentException">As <see cref="Cluster"/>.</exception>
    public static KMeansResult FromCentres(ReadOnlySpan<double> points, int columns, ReadOnlySpan<double> start)
    {
        int clusters = start.Length / Math.Max(1, columns);
        int rows = Check(points, columns, clusters);
        Finite.CheckSameLength(start.Length, clusters * columns, "start, clusters × columns");
        double[] centres = start.ToArray();
        int[] labels = new int[rows];
        Array.Fill(labels, -1);
        int[] sizes = new int[clusters];
        int iteration = 0;
        bool changed = true;
        while (changed && iteration < MaxIterations)
        {
            iteration++;
            changed = false;
            for (int row = 0; row < rows; row++)
            {
                int nearest = Nearest(points.Slice(row * columns, columns), centres, out _);
                changed |= labels[row] != nearest;
                labels[row] = nearest;
            }

            if (changed)
            {
                Means(points, columns, labels, centres, sizes);
            }
        }

        double[] within = new double[clusters];
        double[] middle = new double[columns];
        for (int i = 0; i < points.Length; i++)
        {
            middle[i % columns] += points[i] / rows;
        }

        double total = 0;
        for (int row = 0; row < rows; row++)
        {
            ReadOnlySpan<double> point = points.Slice(row * columns, columns);
            within[labels[row]] += Square(point, centres.AsSpan(labels[row] * columns, columns));
            total += Square(point, middle);
        }

        return new KMeansResult(centres, labels, sizes, within, total - within.Sum(), iteration, !changed);
    }

    internal static double Square(ReadOnlySpan<double> a, ReadOnlySpan<double> b)
    {
        double sum = 0;
        for (int i = 0; i < a.Length; i++)
        {
            double difference = a[i] - b[i];
            sum += difference * difference;
        }

        return sum;
    }

    private static int Nearest(ReadOnlySpan<double> point, ReadOnlySpan<double> centres, out double square)
    {
        int best = 0;
        square = double.PositiveInfinity;
        for (int cluster = 0; cluster * point.Length < centres.Length; cluster++)
        {
            double distance = Square(point, centres.Slice(cluster * point.Length, point.Length));
            if (distance < square)
            {
                (best, square) = (cluster, distance);
            }
        }

        return best;
    }

    private static void Means(ReadOnlySpan<double> points, int columns, int[] labels, double[] centres, int[] sizes)
    {
        double[] sums = new double[centres.Length];
        Array.Clear(sizes);
        for (int row = 0; row < labels.Length; row++)
        {
            sizes[labels[row]]++;
            for (int column = 0; column < columns; column++)
            {
                sums[(labels[row] * columns) + column] += points[(row * columns) + column];
            }
        }

        for (int i = 0; i < sums.Length; i++)
        {
            if (sizes[i / columns] > 0)
            {
                centres[i] = sums[i] / sizes[i / columns];
            }
        }
    }

    private static double[] SpreadStart(
        ReadOnlySpan<double> points,
        int rows,
        int columns,
        int clusters,
        SplittableRandom random
    )
    {
        double[] centres = new double[clusters * columns];
        int chosen = random.NextInt32(rows);
        points.Slice(chosen * columns, columns).CopyTo(centres);
        double[] squares = new double[rows];
        for (int cluster = 1; cluster < clusters; cluster++)
        {
            double total = 0;
            for (int row = 0; row < rows; row++)
            {
                Nearest(points.Slice(row * columns, columns), centres.AsSpan(0, cluster * columns), out squares[row]);
                total += squares[row];
            }

            double wanted = random.NextDouble() * total;
            chosen = rows - 1;
            for (int row = 0; row < rows; row++)
            {
                wanted -= squares[row];
                if (wanted < 0)
                {
                    chosen = row;
                    break;
                }
            }

            points.Slice(chosen * columns, columns).CopyTo(centres.AsSpan(cluster * columns));
        }

        return centres;
    }

    private static int Check(ReadOnlySpan<double> points, int columns, int clusters)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(columns);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(clusters);
        int rows = points.Length / columns;
        Finite.CheckSameLength(points.Length, rows * columns, "points, rows × columns");
        Finite.Check(points, nameof(points));
        return clusters <= rows
            ? rows
            : throw new ArgumentException($"{clusters} clusters of {rows} rows.", nameof(clusters));
    }
}
