using Hillrow.Earth;

namespace Hillrow.Findings;

/// <summary>A survey as spread looks at it.</summary>
/// <param name="Day">Flown on.</param>
/// <param name="Plants">As given to <see cref="FindingsStage"/>.</param>
/// <param name="Found">What that said of them, in the same order.</param>
public sealed record JudgedSurvey(DateOnly Day, IReadOnlyList<ObservedPlant> Plants, FindingsResult Found);

/// <summary>Two surveys' verdicts in, what spread and how fast out.</summary>
public static class SpreadStage
{
    /// <summary>Plants within this margin around a patch show where it ends.</summary>
    private const double MarginMetres = 9;

    /// <summary>Reaches looked for: from half a planting distance to beyond any patch of a season.</summary>
    private const double ShortestReachMetres = 0.6;
    private const double LongestReachMetres = 25;

    /// <summary>A season ahead.</summary>
    private const double RiskDays = 90;

    /// <param name="before">The earlier survey.</param>
    /// <param name="now">A later day.</param>
    /// <param name="settings">Those that judged the later survey; the defaults when null.</param>
    /// <exception cref="ArgumentException">The days are not in order.</exception>
    public static SpreadResult Between(JudgedSurvey before, JudgedSurvey now, FindingsSettings? settings = null)
    {
        settings ??= new FindingsSettings();
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(now);
        double days = now.Day.DayNumber - before.Day.DayNumber;
        if (days <= 0)
        {
            throw new ArgumentException("The later survey is not later.", nameof(now));
        }

        Dictionary<long, PlantVerdict> earlier = before.Found.Plants.ToDictionary(verdict => verdict.Number);
        (ObservedPlant Plant, PlantVerdict Before, PlantVerdict Now)[] both =
        [
            .. now
                .Plants.Zip(now.Found.Plants)
                .Where(pair => earlier.ContainsKey(pair.First.Number))
                .Select(pair => (pair.First, earlier[pair.First.Number], pair.Second))
                .Where(plant =>
                    plant.Item2.Severity != Severity.NotJudged && plant.Item3.Severity != Severity.NotJudged
                ),
        ];
        PatchFront[] fronts = [.. now.Found.Patches.Select((patch, at) => FrontOf(patch, at, both, days))];
        (double speed, double sigma) = MeanSpeed(fronts);
        SpreadPlant[] plants = [.. both.Select(plant => SpreadPlantOf(plant.Plant.Place, plant.Before, plant.Now))];
        InfectionModel? infection = InfectionModel.Fit(plants, days, ShortestReachMetres, LongestReachMetres);
        Dictionary<long, double> risk = [];
        if (infection is not null)
        {
            double[] chances = infection.Risk(plants, RiskDays);
            for (int at = 0; at < both.Length; at++)
            {
                if (double.IsFinite(chances[at]))
                {
                    risk[both[at].Plant.Number] = chances[at];
                }
            }
        }

        return new SpreadResult(
            days,
            DeclineChange.Between(
                before.Found.Plants,
                now.Found.Plants,
                Chances(both, now.Found.Patches, fronts, settings)
            ),
            [
                .. both.GroupBy(plant => (plant.Before.Severity, plant.Now.Severity))
                    .OrderBy(group => group.Key)
                    .Select(group => new ClassTransition(group.Key.Item1, group.Key.Item2, group.Count())),
            ],
            fronts,
            speed,
            sigma,
            infection,
            risk,
            RiskDays
        );
    }

    /// <summary>By ledger number, how likely each plant began to decline between the surveys; block by block.</summary>
    private static Dictionary<long, double> Chances(
        (ObservedPlant Plant, PlantVerdict Before, PlantVerdict Now)[] both,
        IReadOnlyList<DeclinePatch> patches,
        PatchFront[] fronts,
        FindingsSettings settings
    )
    {
        Dictionary<long, double> chances = [];
        foreach (
            IGrouping<string, (ObservedPlant Plant, PlantVerdict Before, PlantVerdict Now)> block in both.GroupBy(
                plant => plant.Plant.Block
            )
        )
        {
            (ObservedPlant Plant, PlantVerdict Before, PlantVerdict Now)[] plants = [.. block];
            double[] found = PassingChance.Of(
                [.. plants.Select(plant => plant.Plant.Place)],
                [.. plants.Select(plant => plant.Before.Departure)],
                [.. plants.Select(plant => plant.Now.Departure)],
                [
                    .. fronts
                        .Where(front => patches[front.Patch].Block == block.Key)
                        .Select(front => front.Advance?.Shape)
                        .OfType<FrontShape>(),
                ],
                settings
            );
            for (int at = 0; at < plants.Length; at++)
            {
                chances[plants[at].Plant.Number] = found[at];
            }
        }

        return chances;
    }

    private static SpreadPlant SpreadPlantOf(GridPoint place, PlantVerdict before, PlantVerdict now) =>
        new(place.EastingMetres, place.NorthingMetres, before.Declining, now.Declining);

    private static PatchFront FrontOf(
        DeclinePatch patch,
        int at,
        (ObservedPlant Plant, PlantVerdict Before, PlantVerdict Now)[] both,
        double days
    )
    {
        HashSet<long> members = [.. patch.Plants];
        (ObservedPlant Plant, PlantVerdict Before, PlantVerdict Now)[] inside =
        [
            .. both.Where(plant => members.Contains(plant.Plant.Number)),
        ];
        if (inside.Length == 0)
        {
            return new PatchFront(at, null, false);
        }

        GridPoint middle = new(
            inside.Average(plant => plant.Plant.Place.EastingMetres),
            inside.Average(plant => plant.Plant.Place.NorthingMetres)
        );
        double Away(GridPoint place) =>
            Math.Sqrt(
                Math.Pow(place.EastingMetres - middle.EastingMetres, 2)
                    + Math.Pow(place.NorthingMetres - middle.NorthingMetres, 2)
            );
        double radiusNow = Radius(inside.Select(plant => Away(plant.Plant.Place)));
        (ObservedPlant Plant, PlantVerdict Before, PlantVerdict Now)[] old =
        [
            .. inside.Where(plant => plant.Before.Declining),
        ];
        if (old.Length < 3)
        {
            return new PatchFront(at, null, old.Length == 0);
        }

        FrontAdvance? advance = FrontAdvance.Fit(
            [
                .. both.Where(plant =>
                        plant.Plant.Block == patch.Block && Away(plant.Plant.Place) < radiusNow + MarginMetres
                    )
                    .Select(plant => new TwiceSeen(plant.Plant.Place, plant.Before.Departure, plant.Now.Departure)),
            ],
            middle,
            Radius(old.Select(plant => Away(plant.Plant.Place))),
            radiusNow,
            days
        );
        return new PatchFront(at, advance, false);
    }

    /// <summary>Of a filled disc whose points lie at these distances: √2 × their root mean square.</summary>
    private static double Radius(IEnumerable<double> distances) =>
        Math.Sqrt(2 * distances.Average(distance => distance * distance));

    private static (double Speed, double Sigma) MeanSpeed(PatchFront[] fronts)
    {
        FrontAdvance[] told = [.. fronts.Select(front => front.Advance).OfType<FrontAdvance>()];
        if (told.Length == 0)
        {
            return (double.NaN, double.NaN);
        }

        double weights = told.Sum(front => 1 / (front.AdvanceSigmaMetres * front.AdvanceSigmaMetres));
        double mean =
            told.Sum(front => front.AdvanceMetres / (front.AdvanceSigmaMetres * front.AdvanceSigmaMetres)) / weights;
        return (mean / told[0].Days, 1 / Math.Sqrt(weights) / told[0].Days);
    }
}
