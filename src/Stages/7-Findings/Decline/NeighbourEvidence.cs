using Hillrow.Numerics.SpatialStatistics;

namespace Hillrow.Findings;

/// <summary>How likely a plant is to decline before it is looked at itself: what its neighbours say.</summary>
/// <remarks>
/// Weighted Benjamini–Hochberg (Genovese, Roeder &amp; Wasserman 2006, doi 10.1093/biomet/93.3.509): p is divided by a
/// weight whose mean is one, drawn from the neighbours and never from the plant itself; root pests stand in patches, a
/// single bad measure stands alone.
/// </remarks>
internal static class NeighbourEvidence
{
    /// <summary>From here down a neighbour counts as poor.</summary>
    private const double Poor = -2;

    /// <summary>As if so many neighbours stood around each plant with the block's own share of poor ones.</summary>
    private const double BlockCounts = 4;
    private const double Least = 0.25;
    private const double Most = 12;

    /// <summary>Weights by judged plant, mean 1.</summary>
    public static double[] Weights(NeighbourWeights neighbours, double[] departures)
    {
        double all = Math.Max(departures.Count(value => value < Poor), 1) / (double)departures.Length;
        double[] weights = new double[departures.Length];
        double sum = 0;
        for (int at = 0; at < weights.Length; at++)
        {
            ReadOnlySpan<int> around = neighbours.Neighbours(at);
            int poor = 0;
            foreach (int other in around)
            {
                poor += departures[other] < Poor ? 1 : 0;
            }

            double share = (poor + (BlockCounts * all)) / (around.Length + BlockCounts);
            weights[at] = Math.Clamp(share / all, Least, Most);
            sum += weights[at];
        }

        for (int at = 0; at < weights.Length; at++)
        {
            weights[at] *= weights.Length / sum;
        }

        return weights;
    }
}
