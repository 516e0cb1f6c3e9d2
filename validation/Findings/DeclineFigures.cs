using Hillrow.Findings;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Findings;

/// <summary>Who is declining, and whom it is wrongly said of, on the plants of modelled estates: the worst of five.</summary>
public sealed class DeclineFigures : FigureSource
{
    public override string Area => "findings";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        List<Tally> tallies = [];
        foreach ((ulong seed, double hectares) in MeasuredEstate.Judges(run.DrawnSeed, run.Quick))
        {
            RehearsedEstate estate = RehearsedEstate.Build(new() { Seed = seed, Hectares = hectares });
            Tally tally = new();
            for (int date = 0; date < estate.History.Count; date++)
            {
                tally.Add(estate, date, seed);
            }

            tallies.Add(tally);
            run.Say($"decline, seed {seed}, {hectares} ha: {tally}");
        }

        string how =
            $"worst of {tallies.Count} modelled estates of 2 to 6 ha, two dates each (drawn seed {run.DrawnSeed}); measures with the errors regressed from the demo's flights, no pictures";
        yield return new Figure("decline.auc", tallies.Min(tally => tally.Auc), how);
        yield return new Figure("decline.sensitivity", tallies.Min(tally => tally.Sensitivity), how);
        yield return new Figure("decline.specificity", tallies.Min(tally => tally.Specificity), how);
        yield return new Figure(
            "falseAlarms.nutrientGradient",
            tallies.Max(tally => tally.OnPoorSoil),
            $"{how}; sound plants on the poorest fifth of the soil"
        );
        yield return new Figure(
            "falseAlarms.shade",
            tallies.Max(tally => tally.InShade),
            $"{how}; sound plants of the block below shade trees (the measures here carry no shadow of their own)"
        );
        yield return new Figure(
            "falseAlarms.justPicked",
            tallies.Max(tally => tally.JustPicked),
            $"{how}; sound plants whose leaves picking thinned more than the median picked plant's"
        );
    }

    /// <summary>Verdicts against truth over the dates of one estate.</summary>
    private sealed class Tally
    {
        private readonly List<(bool Sick, double Departure)> departures = [];
        private Share found = new();
        private Share cleared = new();
        private Share poor = new();
        private Share shade = new();
        private Share picked = new();

        public double Auc
        {
            get
            {
                double[] sick = [.. departures.Where(one => one.Sick).Select(one => one.Departure)];
                double[] well = [.. departures.Where(one => !one.Sick).Select(one => one.Departure).Order()];
                return sick.Average(value =>
                        well.Count(other => other > value) + (0.5 * well.Count(other => other.Equals(value)))
                    ) / well.Length;
            }
        }

        public double Sensitivity => found.Value;

        public double Specificity => cleared.Value;

        public double OnPoorSoil => poor.Value;

        public double InShade => shade.Value;

        public double JustPicked => picked.Value;

        public void Add(RehearsedEstate estate, int date, ulong seed)
        {
            IReadOnlyList<MeasuredPlant> plants = MeasuredEstate.On(estate, date, seed);
            FindingsResult result = FindingsStage.Run(
                [.. plants.Select(plant => plant.Observed)],
                new FindingsSettings { Threads = 2 }
            );
            double[] soil = [.. plants.Select(plant => plant.Truth.NutrientIndex).Order()];
            double poorest = soil[soil.Length / 5];
            double[] picking =
            [
                .. plants.Select(plant => plant.Truth.PickingStress).Where(stress => stress > 0).Order(),
            ];
            double usual = picking.Length > 0 ? picking[picking.Length / 2] : double.PositiveInfinity;
            foreach ((MeasuredPlant plant, PlantVerdict verdict) in plants.Zip(result.Plants))
            {
                if (plant.Kind == BlockKind.Hedgerow || plant.Truth.IsDead || verdict.Severity == Severity.NotJudged)
                {
                    continue;
                }

                departures.Add((plant.IsDeclining, verdict.Departure));
                if (plant.IsDeclining)
                {
                    found.Add(verdict.Declining);
                    continue;
                }

                cleared.Add(!verdict.Declining);
                poor.Add(verdict.Declining, plant.Truth.NutrientIndex <= poorest);
                shade.Add(verdict.Declining, plant.Kind == BlockKind.Shaded);
                picked.Add(verdict.Declining, plant.Truth.PickingStress >= usual);
            }
        }

        public override string ToString() =>
            FormattableString.Invariant(
                $"AUC {Auc:F3}, sensitivity {Sensitivity:F3}, specificity {Specificity:F4}, alarms on poor soil {OnPoorSoil:F3}, in shade {InShade:F3}, just picked {JustPicked:F3}"
            );
    }
}
