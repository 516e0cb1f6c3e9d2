using Hillrow.Findings;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Findings;

/// <summary>Who fell ill between two dates, and how fast the patches' edges move, on modelled estates: the worst of five.</summary>
public sealed class SpreadFigures : FigureSource
{
    public override string Area => "findings";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        List<double> f1 = [];
        List<double> speedErrors = [];
        Share covered = new();
        int fronts = 0;
        foreach ((ulong seed, double hectares) in MeasuredEstate.Judges(run.DrawnSeed, run.Quick))
        {
            RehearsedEstate estate = RehearsedEstate.Build(new() { Seed = seed, Hectares = hectares });
            IReadOnlyList<MeasuredPlant>[] plants =
            [
                .. new[] { 0, 1 }.Select(date => MeasuredEstate.On(estate, date, seed)),
            ];
            JudgedSurvey[] surveys =
            [
                .. plants.Select(
                    (measured, date) =>
                    {
                        ObservedPlant[] observed = [.. measured.Select(plant => plant.Observed)];
                        return new JudgedSurvey(
                            estate.Settings.Dates[date],
                            observed,
                            FindingsStage.Run(observed, new FindingsSettings { Threads = 2 })
                        );
                    }
                ),
            ];
            SpreadResult spread = SpreadStage.Between(surveys[0], surveys[1]);
            f1.Add(NewlyIll(plants, spread));
            List<double> told = [];
            List<double> real = [];
            foreach (PatchFront front in spread.Fronts)
            {
                if (
                    front.Advance is { } advance
                    && TrueSpeed(estate, plants[1], surveys[1].Found.Patches[front.Patch]) is { } speed
                )
                {
                    told.Add(advance.MetresPerDay);
                    real.Add(speed);
                    covered.Add(advance.SpeedInterval.Low <= speed && speed <= advance.SpeedInterval.High);
                    fronts++;
                }
            }

            speedErrors.Add(told.Count == 0 ? double.NaN : Math.Abs((told.Average() / real.Average()) - 1));
            run.Say(
                FormattableString.Invariant(
                    $"spread, seed {seed}, {hectares} ha: new infections F1 {f1[^1]:F3}; {told.Count} fronts, {(told.Count == 0 ? 0 : told.Average()):F4} m/day told, {(real.Count == 0 ? 0 : real.Average()):F4} true"
                )
            );
        }

        yield return new Figure(
            "newInfection.f1",
            f1.Min(),
            $"worst of {f1.Count} modelled estates (drawn seed {run.DrawnSeed}); told new (in a patch) against root pest passing a quarter between the dates, plants judged at both"
        );
        yield return new Figure(
            "front.speedErrorShare",
            speedErrors.Max(),
            FormattableString.Invariant(
                $"worst estate of {speedErrors.Count}: mean speed over its untreated patches that stood at both dates ({fronts} fronts in all; 95 % intervals hold the truth in {covered.Value:P0})"
            )
        );
    }

    private static double NewlyIll(IReadOnlyList<MeasuredPlant>[] plants, SpreadResult spread)
    {
        Dictionary<int, MeasuredPlant> before = plants[0].ToDictionary(plant => plant.Truth.Plant.Number);
        (int right, int wrong, int missed) = (0, 0, 0);
        foreach (MeasuredPlant now in plants[1])
        {
            if (
                now.Kind == BlockKind.Hedgerow
                || now.Truth.IsDead
                || !before.TryGetValue(now.Truth.Plant.Number, out MeasuredPlant? then)
                || then.Truth.IsDead
            )
            {
                continue;
            }

            bool real = now.IsDeclining && !then.IsDeclining;
            bool told = spread.Changes[now.Truth.Plant.Number] == PlantChange.New;
            right += real && told ? 1 : 0;
            wrong += told && !real ? 1 : 0;
            missed += real && !told ? 1 : 0;
        }

        return 2.0 * right / ((2 * right) + wrong + missed);
    }

    /// <summary>Of the true patch that the found one lies on; null in treated blocks and where it began after the first date.</summary>
    private static double? TrueSpeed(RehearsedEstate estate, IReadOnlyList<MeasuredPlant> plants, DeclinePatch found)
    {
        HashSet<long> members = [.. found.Plants];
        PlantState[] inside =
        [
            .. plants.Where(plant => members.Contains(plant.Observed.Number)).Select(plant => plant.Truth),
        ];
        double east = inside.Average(plant => plant.Plant.EastMetres);
        double north = inside.Average(plant => plant.Plant.NorthMetres);
        DateOnly first = estate.Settings.Dates[0];
        DateOnly last = estate.Settings.Dates[1];
        PestPatch nearest = estate
            .History[1]
            .Patches.OrderBy(patch => Math.Pow(patch.EastMetres - east, 2) + Math.Pow(patch.NorthMetres - north, 2))
            .First();
        bool isThere = Math.Sqrt(Math.Pow(nearest.EastMetres - east, 2) + Math.Pow(nearest.NorthMetres - north, 2)) < 4;
        bool isTreated = estate.Layout.Blocks[inside[0].Plant.BlockIndex].Treated;
        return isThere && !isTreated && nearest.RadiusOn(first) > 0
            ? (nearest.RadiusOn(last) - nearest.RadiusOn(first)) / (last.DayNumber - first.DayNumber)
            : null;
    }
}
