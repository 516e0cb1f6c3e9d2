using Hillrow.Earth;
using Hillrow.Numerics.SpatialStatistics;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Findings;

/// <summary>Clusters of declining plants beyond chance.</summary>
/// <remarks>
/// Local Gi* (Getis &amp; Ord 1992, Ord &amp; Getis 1995, doi 10.1111/j.1538-4632.1995.tb00912.x) of the departures with
/// conditional permutation p; a patch is a connected group of declining plants of which at least one stands in a
/// neighbourhood worse than chance (p ≤ 0.05).
/// </remarks>
internal sealed record DeclinePatches(int[] PatchOf, IReadOnlyList<DeclinePatch> Patches)
{
    private const double BeyondChance = 0.05;

    public static DeclinePatches Find(
        string block,
        IReadOnlyList<ObservedPlant> peers,
        double[] departures,
        Severity[] severities,
        FindingsSettings settings
    )
    {
        int[] patchOf = [.. peers.Select(_ => -1)];
        int[] judged = [.. Enumerable.Range(0, peers.Count).Where(at => severities[at] != Severity.NotJudged)];
        bool enough = judged.Count(at => severities[at] != Severity.Healthy) >= settings.SmallestPatch;
        if (!enough || judged.Length <= 8)
        {
            return new DeclinePatches(patchOf, []);
        }

        double[] x = [.. judged.Select(at => peers[at].Place.EastingMetres)];
        double[] y = [.. judged.Select(at => peers[at].Place.NorthingMetres)];
        double reach = settings.NeighbourDistanceMetres ?? NaturalReach(x, y);
        NeighbourWeights neighbours = NeighbourSearch.WithinDistance(x, y, reach, settings.Threads);
        double[] p = LocalP(neighbours, [.. judged.Select(at => departures[at])], settings);
        List<DeclinePatch> patches = [];
        bool[] visited = new bool[judged.Length];
        for (int seed = 0; seed < judged.Length; seed++)
        {
            if (visited[seed] || severities[judged[seed]] == Severity.Healthy)
            {
                continue;
            }

            List<int> group = Connected(seed, neighbours, visited, at => severities[judged[at]] != Severity.Healthy);
            double smallest = group.Min(at => double.IsNaN(p[at]) ? 1 : p[at]);
            if (group.Count < settings.SmallestPatch || smallest > BeyondChance)
            {
                continue;
            }

            foreach (int at in group)
            {
                patchOf[judged[at]] = patches.Count;
            }

            patches.Add(
                new DeclinePatch(
                    block,
                    [.. group.Select(at => peers[judged[at]].Number).Order()],
                    ConvexOutline.Around([.. group.Select(at => peers[judged[at]].Place)], reach / 2),
                    smallest
                )
            );
        }

        return new DeclinePatches(patchOf, patches);
    }

    /// <summary>2.2 × the median distance to the fourth neighbour: along the row and to both next rows.</summary>
    private static double NaturalReach(double[] x, double[] y)
    {
        NeighbourWeights four = NeighbourSearch.Nearest(x, y, 4);
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

        return 2.2 * Math.Max(Quantiles.Median(fourth), 0.1);
    }

    /// <summary>Permutation p, or the normal one where a block is so small that a plant neighbours half of it.</summary>
    private static double[] LocalP(NeighbourWeights neighbours, double[] values, FindingsSettings settings)
    {
        NeighbourWeights withSelf = neighbours.WithSelf();
        double[] z = LocalAutocorrelation.GiStar(values, withSelf);
        bool tooSmall = Enumerable
            .Range(0, values.Length)
            .Any(at => neighbours.Neighbours(at).Length * 2 > values.Length);
        double[] twoSided = tooSmall
            ? [.. z.Select(NormalTwoTails)]
            : SpatialPermutation.LocalPValues(values, withSelf, settings.Shuffles, settings.Seed, settings.Threads);
        return [.. twoSided.Select((value, at) => z[at] < 0 ? value : 1)];
    }

    private static double NormalTwoTails(double z) => Hillrow.Numerics.Distributions.NormalDistribution.TwoTails(z);

    private static List<int> Connected(int seed, NeighbourWeights neighbours, bool[] visited, Func<int, bool> belongs)
    {
        List<int> group = [];
        Stack<int> open = new([seed]);
        visited[seed] = true;
        while (open.TryPop(out int at))
        {
            group.Add(at);
            foreach (int other in neighbours.Neighbours(at))
            {
                if (!visited[other] && belongs(other))
                {
                    visited[other] = true;
                    open.Push(other);
                }
            }
        }

        return group;
    }
}
