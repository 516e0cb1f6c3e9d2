using Hillrow.Numerics.SpatialStatistics;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Findings;

/// <summary>Who stands beside whom among the judged plants of a block.</summary>
/// <param name="Metres">Plants closer than this are neighbours.</param>
/// <param name="Neighbours">By judged plant; null when there are too few to have any.</param>
/// <param name="Touching">Those of them that stand directly beside it, in its row or the next.</param>
internal sealed record NeighbourReach(double Metres, NeighbourWeights? Neighbours, NeighbourWeights? Touching)
{
    /// <summary>Of the reach: 1.2 × the distance to the fourth neighbour.</summary>
    private const double TouchingShare = 1.2 / 2.2;

    private const int Fewest = 9;

    public static NeighbourReach Of(double[] x, double[] y, FindingsSettings settings)
    {
        if (x.Length < Fewest)
        {
            return new NeighbourReach(settings.NeighbourDistanceMetres ?? 0, null, null);
        }

        double reach = settings.NeighbourDistanceMetres ?? Natural(x, y, settings.Threads);
        return new NeighbourReach(
            reach,
            NeighbourSearch.WithinDistance(x, y, reach, settings.Threads),
            NeighbourSearch.WithinDistance(x, y, reach * TouchingShare, settings.Threads)
        );
    }

    /// <summary>2.2 × the median distance to the fourth neighbour: along the row and to both next rows.</summary>
    private static double Natural(double[] x, double[] y, int threads)
    {
        NeighbourWeights four = NeighbourSearch.Nearest(x, y, 4, threads);
        double[] fourth = new double[x.Length];
        for (int at = 0; at < x.Length; at++)
        {
            foreach (int other in four.Neighbours(at))
            {
                fourth[at] = Math.Max(
                    fourth[at],
                    Math.Sqrt(Math.Pow(x[other] - x[at], 2) + Math.Pow(y[other] - y[at], 2))
                );
            }
        }

        return 2.2 * Math.Max(Quantiles.MedianInPlace(fourth), 0.1);
    }
}
