using Hillrow.Numerics.Statistics;

namespace Hillrow.Findings;

/// <summary>The share of declining plants of a block, with an interval that knows they stand in clumps.</summary>
/// <remarks>
/// Design effect: variance of the ratio estimator over square clusters of about 25 plants against the binomial one
/// (Cochran 1977, Sampling Techniques, ch. 9A, from memory; Kish 1965 for the term). Interval: Wilson 1927 on n / effect.
/// </remarks>
internal static class ClumpedShare
{
    private const double PlantsPerCluster = 25;

    public static BlockIncidence Of(string block, IReadOnlyList<ObservedPlant> peers, Severity[] severities)
    {
        int judged = 0;
        int declining = 0;
        Dictionary<Severity, int> counts = new()
        {
            [Severity.Light] = 0,
            [Severity.Moderate] = 0,
            [Severity.Severe] = 0,
        };
        foreach (Severity severity in severities)
        {
            judged += severity == Severity.NotJudged ? 0 : 1;
            if (counts.TryGetValue(severity, out int count))
            {
                counts[severity] = count + 1;
                declining++;
            }
        }

        double effect = DesignEffect(peers, severities, judged, declining);
        Interval interval =
            judged == 0
                ? new Interval(0, 1)
                : ProportionInterval.Wilson(declining, judged, confidence: 0.95, designEffect: effect);
        return new BlockIncidence(block, peers.Count, judged, declining, interval, effect, counts);
    }

    private static double DesignEffect(
        IReadOnlyList<ObservedPlant> peers,
        Severity[] severities,
        int judged,
        int declining
    )
    {
        if (judged < 4 * PlantsPerCluster || declining == 0 || declining == judged)
        {
            return 1;
        }

        double west = peers.Min(plant => plant.Place.EastingMetres);
        double south = peers.Min(plant => plant.Place.NorthingMetres);
        double width = peers.Max(plant => plant.Place.EastingMetres) - west;
        double height = peers.Max(plant => plant.Place.NorthingMetres) - south;
        double cell = Math.Sqrt(Math.Max(width * height, 1) * PlantsPerCluster / peers.Count);
        Dictionary<(int, int), (int Judged, int Declining)> clusters = [];
        for (int at = 0; at < peers.Count; at++)
        {
            if (severities[at] == Severity.NotJudged)
            {
                continue;
            }

            (int, int) key = (
                (int)((peers[at].Place.EastingMetres - west) / cell),
                (int)((peers[at].Place.NorthingMetres - south) / cell)
            );
            (int inCell, int bad) = clusters.GetValueOrDefault(key);
            clusters[key] = (inCell + 1, bad + (severities[at] == Severity.Healthy ? 0 : 1));
        }

        double share = (double)declining / judged;
        double squares = clusters.Values.Sum(cluster => Math.Pow(cluster.Declining - (share * cluster.Judged), 2));
        int count = clusters.Count;
        double ofRatio = squares * count / (count - 1.0) / ((double)judged * judged);
        double binomial = share * (1 - share) / judged;
        return Math.Max(1, ofRatio / binomial);
    }
}
