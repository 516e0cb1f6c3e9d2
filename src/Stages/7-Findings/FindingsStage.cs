using Hillrow.Numerics;

namespace Hillrow.Findings;

/// <summary>The door of the stage: the plants of a survey in, verdicts out.</summary>
public static class FindingsStage
{
    /// <summary>Judges every plant against its block's peers.</summary>
    /// <param name="plants">One survey's plants; blocks are judged apart. The result keeps their order.</param>
    /// <param name="settings">Checked here.</param>
    /// <param name="progress">Told block by block.</param>
    /// <param name="cancel">Stops between blocks.</param>
    /// <exception cref="InputProblemException">Settings out of range.</exception>
    public static FindingsResult Run(
        IReadOnlyList<ObservedPlant> plants,
        FindingsSettings settings,
        IProgress<WorkProgress>? progress = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(plants);
        ArgumentNullException.ThrowIfNull(settings);
        settings = settings.Checked();
        if (plants.Count == 0)
        {
            return new FindingsResult(
                [],
                [],
                [],
                StageOutcome.Refused("No plant was found: there is nothing to judge.")
            );
        }

        PlantVerdict[] verdicts = new PlantVerdict[plants.Count];
        List<DeclinePatch> patches = [];
        List<BlockIncidence> blocks = [];
        List<string> reasons = [];
        int done = 0;
        foreach (
            IGrouping<string, int> group in Enumerable
                .Range(0, plants.Count)
                .GroupBy(at => plants[at].Block)
                .OrderBy(group => group.Key, StringComparer.Ordinal)
        )
        {
            cancel.ThrowIfCancellationRequested();
            int[] members = [.. group];
            ObservedPlant[] peers = [.. members.Select(at => plants[at])];
            BlockVerdict verdict = BlockVerdict.Of(group.Key, peers, settings, patches.Count);
            for (int peer = 0; peer < members.Length; peer++)
            {
                verdicts[members[peer]] = verdict.Plants[peer];
            }

            patches.AddRange(verdict.Patches);
            blocks.Add(verdict.Incidence);
            reasons.AddRange(verdict.Reasons);
            done += members.Length;
            progress?.Report(new WorkProgress("judging plants", (double)done / plants.Count));
        }

        return new FindingsResult(
            verdicts,
            patches,
            blocks,
            reasons.Count == 0 ? StageOutcome.Done : StageOutcome.Degraded([.. reasons])
        );
    }
}
