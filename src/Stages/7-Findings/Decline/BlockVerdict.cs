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
        double[] falseDiscovery = FalseDiscovery(departure.Values);
        Severity[] severities =
        [
            .. departure.Values.Select((value, at) => Classify(value, falseDiscovery[at], settings)),
        ];
        DeclinePatches found = DeclinePatches.Find(block, peers, departure.Values, severities, settings);
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
        int judged = severities.Count(severity => severity != Severity.NotJudged);
        if (departure.Measures.Count == 0)
        {
            reasons.Add($"Block {block}: no measure tells its plants apart; none was judged.");
        }
        else if (judged < peers.Count * 0.8)
        {
            reasons.Add(
                FormattableString.Invariant(
                    $"Block {block}: only {judged} of {peers.Count} plants have measures enough to be judged."
                )
            );
        }

        return new BlockVerdict(verdicts, found.Patches, ClumpedShare.Of(block, peers, severities), reasons);
    }

    /// <summary>One-sided: only plants worse than their peers.</summary>
    private static double[] FalseDiscovery(double[] departures)
    {
        int[] judged = [.. Enumerable.Range(0, departures.Length).Where(at => double.IsFinite(departures[at]))];
        double[] p = [.. judged.Select(at => NormalDistribution.LowerTail(departures[at]))];
        double[] adjusted = MultipleComparisons.BenjaminiHochberg(p);
        double[] all = [.. departures.Select(_ => double.NaN)];
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
