using Hillrow.Earth;
using Hillrow.Plants;

namespace Hillrow.Estate;

/// <summary>A number that was issued before, as the table plants keeps it.</summary>
/// <param name="Number">For life.</param>
/// <param name="BlockId">Its block; 0 when that is gone.</param>
/// <param name="Issued">The sighting it was issued for.</param>
/// <param name="Row">When last seen.</param>
/// <param name="PlaceInRow">When last seen.</param>
/// <param name="Place">When last seen, on the ledger's footing.</param>
/// <param name="LastSurvey">That saw it.</param>
internal sealed record IssuedNumber(
    long Number,
    long BlockId,
    IssuedAt Issued,
    int Row,
    int PlaceInRow,
    GridPoint Place,
    string LastSurvey
);

/// <summary>Gives groups of sightings their numbers: one that was issued stays with the sighting it was issued for.</summary>
/// <remarks>
/// A group that holds several such sightings keeps the oldest (smallest) of their numbers, the others are merged into
/// it. A group that holds none gets the next number that was never issued, in the order of grouping. A number whose
/// sighting no survey shows any more is withdrawn, and kept so that it is never issued again. A sighting found anew by a
/// changed program is the nearest within half a planting distance, pairs by distance.
/// </remarks>
internal static class LedgerNumbers
{
    public static Ledger Assign(
        Ledger grouped,
        IReadOnlyDictionary<string, StoredPlants> found,
        IReadOnlyList<IssuedNumber> memory
    )
    {
        if (memory.Count == 0)
        {
            return grouped;
        }

        Dictionary<long, List<IssuedNumber>> ofGroup = [];
        List<IssuedNumber> lost = [];
        foreach (IGrouping<string, IssuedNumber> issued in memory.GroupBy(entry => entry.Issued.Survey))
        {
            if (grouped.Of(issued.Key) is { } survey)
            {
                lost.AddRange(Anchor([.. issued], survey, found[issued.Key], ofGroup));
            }
            else
            {
                lost.AddRange(issued);
            }
        }

        long next = memory.Max(entry => entry.Number) + 1;
        long[] numbers = new long[grouped.Plants.Count];
        for (int group = 0; group < numbers.Length; group++)
        {
            numbers[group] = ofGroup.TryGetValue(group + 1, out List<IssuedNumber>? held)
                ? held.Min(entry => entry.Number)
                : next++;
        }

        LedgerPlant[] plants = new LedgerPlant[next - 1];
        for (int group = 0; group < numbers.Length; group++)
        {
            LedgerPlant plant = grouped.Plants[group];
            IssuedAt issued = ofGroup.TryGetValue(group + 1, out List<IssuedNumber>? held)
                ? held.MinBy(entry => entry.Number)!.Issued
                : plant.Issued;
            plants[numbers[group] - 1] = plant with
            {
                Number = numbers[group],
                Last = plant.Last with { Number = numbers[group] },
                Issued = issued,
            };
        }

        foreach ((long group, List<IssuedNumber> held) in ofGroup)
        {
            foreach (IssuedNumber other in held.Where(entry => entry.Number != numbers[group - 1]))
            {
                LedgerPlant kept = plants[numbers[group - 1] - 1];
                plants[other.Number - 1] = Retired(other, kept.Block, LedgerState.Merged) with
                {
                    MergedInto = kept.Number,
                };
            }
        }

        foreach (IssuedNumber entry in lost)
        {
            plants[entry.Number - 1] = Retired(entry, "", LedgerState.Withdrawn);
        }

        // A table that somebody took rows out of must not bring the run down: the numbers stay used.
        for (int at = 0; at < plants.Length; at++)
        {
            plants[at] ??= Retired(
                new IssuedNumber(at + 1, 0, new IssuedAt("", default), 0, 0, default, ""),
                "",
                LedgerState.Withdrawn
            );
        }

        return new Ledger(plants, [.. grouped.Surveys.Select(survey => Renumbered(survey, numbers))]);
    }

    private static LedgerSurvey Renumbered(LedgerSurvey survey, long[] numbers) =>
        survey with
        {
            Parts =
            [
                .. survey.Parts.Select(part =>
                    part with
                    {
                        Numbers = [.. part.Numbers.Select(number => numbers[number - 1])],
                    }
                ),
            ],
        };

    private static LedgerPlant Retired(IssuedNumber entry, string block, LedgerState state) =>
        new(
            entry.Number,
            entry.BlockId,
            block,
            entry.PlaceInRow,
            new KnownPlant(entry.Number, entry.Row, entry.Place, double.NaN, double.NaN, double.NaN),
            entry.Issued.Survey,
            entry.LastSurvey,
            state,
            entry.Issued
        );

    /// <returns>Those whose sighting is not there any more.</returns>
    private static List<IssuedNumber> Anchor(
        IReadOnlyList<IssuedNumber> issued,
        LedgerSurvey survey,
        StoredPlants found,
        Dictionary<long, List<IssuedNumber>> ofGroup
    )
    {
        List<(GridPoint Place, long Group, double Gate)> sightings = [];
        for (int part = 0; part < found.Parts.Count; part++)
        {
            double gate = Sightings.GateOf(found.Parts[part]);
            for (int at = 0; at < found.Parts[part].Found.Plants.Count; at++)
            {
                sightings.Add((found.Parts[part].Found.Plants[at].Place, survey.Parts[part].Numbers[at], gate));
            }
        }

        bool[] taken = new bool[sightings.Count];
        bool[] done = new bool[issued.Count];
        Dictionary<GridPoint, int> exact = [];
        for (int at = 0; at < sightings.Count; at++)
        {
            exact.TryAdd(sightings[at].Place, at);
        }

        void Take(int entry, int at)
        {
            (taken[at], done[entry]) = (true, true);
            if (!ofGroup.TryGetValue(sightings[at].Group, out List<IssuedNumber>? held))
            {
                ofGroup[sightings[at].Group] = held = [];
            }

            held.Add(issued[entry]);
        }

        for (int entry = 0; entry < issued.Count; entry++)
        {
            if (exact.TryGetValue(issued[entry].Issued.Place, out int at) && !taken[at])
            {
                Take(entry, at);
            }
        }

        if (sightings.Count > 0 && Array.Exists(done, entry => !entry))
        {
            double widest = sightings.Max(sighting => sighting.Gate);
            PlaceIndex index = new([.. sightings.Select(sighting => sighting.Place)], widest);
            List<(double Off, int Entry, int At)> pairs = [];
            List<int> near = [];
            for (int entry = 0; entry < issued.Count; entry++)
            {
                if (done[entry])
                {
                    continue;
                }

                index.Within(issued[entry].Issued.Place, widest, near);
                pairs.AddRange(
                    near.Where(at => !taken[at])
                        .Select(at =>
                            (Off: Sightings.Distance(issued[entry].Issued.Place, sightings[at].Place), entry, at)
                        )
                        .Where(pair => pair.Off <= sightings[pair.at].Gate)
                );
            }

            pairs.Sort();
            foreach ((_, int entry, int at) in pairs)
            {
                if (!done[entry] && !taken[at])
                {
                    Take(entry, at);
                }
            }
        }

        return [.. issued.Where((_, entry) => !done[entry])];
    }
}
