using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Findings;

/// <summary>A stop before it has its place in the walk.</summary>
internal sealed record ChosenStop(ObservedPlant Plant, WalkTask Task, int Patch);

/// <summary>Chooses where to dig and what to look at.</summary>
internal static class StopChoice
{
    /// <summary>Above this departure a plant seems sound.</summary>
    private const double Sound = -1;

    /// <summary>This near the threshold a plant is doubtful.</summary>
    private const double Doubtful = 0.75;

    public static IReadOnlyList<ChosenStop> Of(
        IReadOnlyList<ObservedPlant> plants,
        FindingsResult found,
        SpreadResult? spread,
        FindingsSettings settings,
        WalkSettings walk
    )
    {
        (ObservedPlant Plant, PlantVerdict Verdict)[] judged =
        [
            .. plants
                .Zip(found.Plants)
                .Where(pair => pair.Second.Severity != Severity.NotJudged)
                .Select(pair => (pair.First, pair.Second)),
        ];
        List<ChosenStop> stops = [];
        HashSet<long> taken = [];
        void Take((ObservedPlant Plant, PlantVerdict Verdict) plant, WalkTask task, int patch)
        {
            if (taken.Add(plant.Plant.Number))
            {
                stops.Add(new ChosenStop(plant.Plant, task, patch));
            }
        }

        foreach (
            int patch in Enumerable
                .Range(0, found.Patches.Count)
                .OrderByDescending(at => found.Patches[at].Plants.Count)
                .ThenBy(at => at)
                .Take(walk.MostPatches)
        )
        {
            (ObservedPlant Plant, PlantVerdict Verdict)[] inside = [.. judged.Where(one => one.Verdict.Patch == patch)];
            if (inside.Length == 0)
            {
                continue;
            }

            (ObservedPlant Plant, PlantVerdict Verdict) worst = inside.MinBy(one => one.Verdict.Departure);
            Take(worst, WalkTask.Dig, patch);
            if (inside.Length >= walk.LargePatch)
            {
                // Where it grows: of the newly declining, or of all, the one farthest from the first hole.
                (ObservedPlant Plant, PlantVerdict Verdict)[] fresh =
                [
                    .. inside.Where(one => spread?.Changes.GetValueOrDefault(one.Plant.Number) == PlantChange.New),
                ];
                Take((fresh.Length > 0 ? fresh : inside).MaxBy(one => Away(one, worst)), WalkTask.Dig, patch);
            }

            (ObservedPlant Plant, PlantVerdict Verdict)[] beside =
            [
                .. judged.Where(one =>
                    one.Plant.Block == found.Patches[patch].Block
                    && one.Verdict.Patch < 0
                    && one.Verdict.Departure > Sound
                ),
            ];
            if (beside.Length > 0)
            {
                Take(beside.MinBy(one => Away(one, worst)), WalkTask.Compare, patch);
            }
        }

        foreach (
            (ObservedPlant Plant, PlantVerdict Verdict) alone in judged
                .Where(one => spread?.Changes.GetValueOrDefault(one.Plant.Number) == PlantChange.Alone)
                .OrderBy(one => one.Verdict.Departure)
                .Take(walk.LookAlone)
        )
        {
            Take(alone, WalkTask.Look, -1);
        }

        SplittableRandom draw = new(walk.Seed);
        foreach (
            (ObservedPlant Plant, PlantVerdict Verdict) plant in Drawn(
                    [
                        .. judged.Where(one =>
                            one.Verdict.Patch < 0
                            && Math.Abs(one.Verdict.Departure + settings.LeastDeparture) < Doubtful
                        ),
                    ],
                    walk.LookDoubtful,
                    draw.Split("doubtful")
                )
                .Concat(
                    Drawn([.. judged.Where(one => one.Verdict.Departure > Sound)], walk.LookSound, draw.Split("sound"))
                )
        )
        {
            Take(plant, WalkTask.Look, -1);
        }

        return stops;
    }

    private static double Away(
        (ObservedPlant Plant, PlantVerdict Verdict) one,
        (ObservedPlant Plant, PlantVerdict Verdict) other
    ) => Distance(one.Plant.Place, other.Plant.Place);

    private static double Distance(GridPoint a, GridPoint b) =>
        Math.Sqrt(Math.Pow(a.EastingMetres - b.EastingMetres, 2) + Math.Pow(a.NorthingMetres - b.NorthingMetres, 2));

    private static IEnumerable<T> Drawn<T>(T[] from, int count, SplittableRandom draw)
    {
        for (int at = 0; at < Math.Min(count, from.Length); at++)
        {
            int other = at + draw.NextInt32(from.Length - at);
            (from[at], from[other]) = (from[other], from[at]);
            yield return from[at];
        }
    }
}
