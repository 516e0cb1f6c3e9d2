using Hillrow.Earth;
using Hillrow.Numerics.SpatialStatistics;

namespace Hillrow.Findings;

/// <summary>Clusters of declining plants beyond chance.</summary>
/// <remarks>
/// Local Gi* (Getis &amp; Ord 1992, Ord &amp; Getis 1995, doi 10.1111/j.1538-4632.1995.tb00912.x) of the departures with
/// conditional permutation p; a patch is a connected group of declining plants that is larger than the largest group of
/// as many plants marked at random (p ≤ 0.05 over the whole block), and of which at least one stands in a neighbourhood
/// worse than chance (p ≤ 0.05).
/// </remarks>
internal sealed record DeclinePatches(int[] PatchOf, IReadOnlyList<DeclinePatch> Patches)
{
    private const double BeyondChance = 0.05;

    public static DeclinePatches Find(
        string block,
        IReadOnlyList<ObservedPlant> peers,
        int[] judged,
        double[] departures,
        Severity[] severities,
        NeighbourReach reach,
        FindingsSettings settings
    )
    {
        int[] patchOf = [.. peers.Select(_ => -1)];
        bool enough = judged.Count(at => severities[at] != Severity.Healthy) >= settings.SmallestPatch;
        if (!enough || reach is not { Neighbours: { } neighbours, Touching: { } touching })
        {
            return new DeclinePatches(patchOf, []);
        }

        bool[] marked = [.. judged.Select(at => severities[at] != Severity.Healthy)];
        int[] sick = [.. Enumerable.Range(0, judged.Length).Where(at => marked[at])];
        int[] byChance = GroupSizes.LargestByChance(touching, sick.Length, settings.GroupShuffles, settings.Seed);
        double[] p = LocalP(neighbours, departures, sick, settings);
        List<DeclinePatch> patches = [];
        foreach (int[] group in GroupSizes.Groups(touching, marked))
        {
            double ofSize = (1.0 + byChance.Count(size => size >= group.Length)) / (1 + byChance.Length);
            double ofPlace = group.Min(at => double.IsNaN(p[at]) ? 1 : p[at]);
            if (group.Length < settings.SmallestPatch || ofSize > BeyondChance || ofPlace > BeyondChance)
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
                    ConvexOutline.Around([.. group.Select(at => peers[judged[at]].Place)], reach.Metres / 2),
                    ofPlace,
                    ofSize
                )
            );
        }

        return new DeclinePatches(patchOf, patches);
    }

    /// <summary>
    /// By judged plant, NaN where not asked. Permutation p, or the normal one where a block is so small that a plant
    /// neighbours half of it.
    /// </summary>
    private static double[] LocalP(NeighbourWeights neighbours, double[] values, int[] asked, FindingsSettings settings)
    {
        NeighbourWeights withSelf = neighbours.WithSelf();
        double[] z = LocalAutocorrelation.GiStar(values, withSelf);
        bool tooSmall = asked.Any(at => neighbours.Neighbours(at).Length * 2 > values.Length);
        double[] twoSided = tooSmall
            ? [.. asked.Select(at => NormalTwoTails(z[at]))]
            : SpatialPermutation.LocalPValues(
                values,
                withSelf,
                asked,
                settings.Shuffles,
                settings.Seed,
                settings.Threads
            );
        double[] p = new double[values.Length];
        Array.Fill(p, double.NaN);
        for (int at = 0; at < asked.Length; at++)
        {
            p[asked[at]] = z[asked[at]] < 0 ? twoSided[at] : 1;
        }

        return p;
    }

    private static double NormalTwoTails(double z) => Hillrow.Numerics.Distributions.NormalDistribution.TwoTails(z);
}
