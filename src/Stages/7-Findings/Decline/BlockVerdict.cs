using Hillrow.Numerics;
using Hillrow.Numerics.Distributions;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Findings;

/// <summary>Everything said of one block.</summary>
internal sealed record BlockVerdict(
    PlantVerdict[] Plants,
    IReadOnlyList<DeclinePatch> Patches,
    BlockIncidence Incidence,
    IReadOnlyList<string> Reasons
)
{
    public static BlockVerdict Of(
        string block,
        IReadOnlyList<ObservedPlant> peers,
        FindingsSettings settings,
        int patchesBefore
    )
    {
        Departure departure = Departure.Of(peers, settings);
        int[] judged = [.. Enumerable.Range(0, peers.Count).Where(at => double.IsFinite(departure.Values[at]))];
        double[] values = [.. judged.Select(at => departure.Values[at])];
        NeighbourReach reach = NeighbourReach.Of(
            [.. judged.Select(at => peers[at].Place.EastingMetres)],
            [.. judged.Select(at => peers[at].Place.NorthingMetres)],
            settings
        );
        double[] falseDiscovery = FalseDiscovery(peers.Count, judged, values, reach);
        Severity[] severities =
        [
            .. departure.Values.Select((value, at) => Classify(value, falseDiscovery[at], settings)),
        ];
        DeclinePatches found = DeclinePatches.Find(block, peers, judged, values, severities, reach, settings);
        int[] zones = VigourZones.Of(peers, departure.Slow, settings);
        PlantVerdict[] verdicts = new PlantVerdict[peers.Count];
        for (int at = 0; at < peers.Count; at++)
        {
            verdicts[at] = new PlantVerdict(
                peers[at].Number,
                departure.Values[at],
                departure.Sigmas[at],
                falseDiscovery[at],
                severities[at],
                found.PatchOf[at] < 0 ? -1 : patchesBefore + found.PatchOf[at],
                zones[at]
            );
        }

        List<string> reasons = [];
        if (departure.Measures.Count == 0)
        {
            reasons.Add($"Block {block}: no measure tells its plants apart; none was judged.");
        }
        else if (judged.Length < peers.Count * 0.8)
        {
            reasons.Add(
                FormattableString.Invariant(
                    $"Block {block}: only {judged.Length} of {peers.Count} plants have measures enough to be judged."
                )
            );
        }

        return new BlockVerdict(verdicts, found.Patches, ClumpedShare.Of(block, peers, severities), reasons);
    }

    /// <summary>One-sided: only plants worse than their peers; by plant, NaN where not judged.</summary>
    private static double[] FalseDiscovery(int plants, int[] judged, double[] departures, NeighbourReach reach)
    {
        double[] p = [.. departures.Select(NormalDistribution.LowerTail)];
        if (reach.Neighbours is { } neighbours)
        {
            double[] weights = NeighbourEvidence.Weights(neighbours, departures);
            p = [.. p.Select((value, at) => Math.Min(1, value / weights[at]))];
        }

        double[] adjusted = MultipleComparisons.BenjaminiHochberg(p);
        double[] all = new double[plants];
        Array.Fill(all, double.NaN);
        for (int at = 0; at < judged.Length; at++)
        {
            all[judged[at]] = adjusted[at];
        }

        return all;
    }

    private static Severity Classify(double departure, double falseDiscovery, FindingsSettings settings)
    {
        if (!double.IsFinite(departure))
        {
            return Severity.NotJudged;
        }

        if (falseDiscovery > settings.FalseDiscoveryRate || departure > -settings.LeastDeparture)
        {
            return Severity.Healthy;
        }

        return departure switch
        {
            _ when departure <= -settings.SevereDeparture => Severity.Severe,
            _ when departure <= -settings.ModerateDeparture => Severity.Moderate,
            _ => Severity.Light,
        };
    }
}
