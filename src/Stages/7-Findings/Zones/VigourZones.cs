using Hillrow.Numerics.Clustering;

namespace Hillrow.Findings;

/// <summary>Zones of slow vigour in a block: k-means of the slow surface and the elevation, weakest first.</summary>
/// <remarks>
/// The slow surface, not the single plant: a zone is a piece of soil that a crew can treat alike, and a sick plant in a
/// good soil stays in the good zone.
/// </remarks>
internal static class VigourZones
{
    private const int Columns = 2;

    /// <summary>Zone per plant, 0 the weakest; −1 where the slow surface is unknown or the block is too small.</summary>
    public static int[] Of(IReadOnlyList<ObservedPlant> peers, double[] slow, FindingsSettings settings)
    {
        int[] zones = [.. peers.Select(_ => -1)];
        int[] known =
        [
            .. Enumerable
                .Range(0, peers.Count)
                .Where(at => double.IsFinite(slow[at]) && double.IsFinite(peers[at].ElevationMetres)),
        ];
        if (known.Length < settings.LeastPlantsForSurface)
        {
            return zones;
        }

        double[] vigour = Standardised([.. known.Select(at => slow[at])]);
        double[] elevation = Standardised([.. known.Select(at => peers[at].ElevationMetres)]);
        double[] points = new double[known.Length * Columns];
        for (int at = 0; at < known.Length; at++)
        {
            points[at * Columns] = vigour[at];
            // Half weight: elevation keeps zones in one piece, vigour decides them.
            points[(at * Columns) + 1] = elevation[at] / 2;
        }

        int clusters = Math.Min(settings.Zones, known.Length);
        KMeansResult result = KMeans.Cluster(points, Columns, clusters, settings.Seed);
        int[] order = [.. Enumerable.Range(0, clusters).OrderBy(cluster => result.Centres[cluster * Columns])];
        for (int at = 0; at < known.Length; at++)
        {
            zones[known[at]] = Array.IndexOf(order, result.Labels[at]);
        }

        return zones;
    }

    private static double[] Standardised(double[] values)
    {
        double mean = values.Average();
        double spread = Math.Sqrt(values.Average(value => (value - mean) * (value - mean)));
        return [.. values.Select(value => spread > 0 ? (value - mean) / spread : 0)];
    }
}
