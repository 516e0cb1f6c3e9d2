using Hillrow.Checks;
using Hillrow.Plants;

namespace Hillrow.Validation.Plants;

/// <summary>Stated 90 % intervals of plants' measures on modelled maps with errors: docs/decisions/0044.</summary>
public sealed class IntervalFigures : FigureSource
{
    private const ulong FirstSeed = 4501;
    private const int FixedSeeds = 23;

    public override string Area => "plants";

    public override int Order => 2;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        // A short run looks at development seeds, so that who tries something does not see the judging ones.
        ulong[] seeds = run.Quick
            ? [.. Enumerable.Range(1, 16).Select(seed => (ulong)seed)]
            : [.. Enumerable.Range(0, FixedSeeds).Select(at => FirstSeed + (ulong)at), run.DrawnSeed];
        IntervalScore score = new();
        for (int at = 0; at < seeds.Length; at++)
        {
            ModelledPlanting planting = new() { SideMetres = 40, RadiusMean = at % 2 == 0 ? 0.85 : 0.66 };
            ModelledSurvey survey = ModelledSurvey.Make(planting, seeds[at]);
            score.Add(survey, PlantsStage.Run(survey.Input, new PlantsSettings(), null, default).Blocks[0]);
        }

        IReadOnlyList<IntervalClass> classes = score.Result();
        foreach (IntervalClass one in classes)
        {
            run.Say(
                FormattableString.Invariant(
                    $"{one.Measure, -8} {Size(one)}: covers {one.Coverage:F3}, width {one.WidthRatio:F2} of needed, off {one.MeanError:+0.0000;-0.0000}, rms {one.Spread:F4} ({one.Count})"
                )
            );
        }

        IntervalClass least = classes.MinBy(one => one.Coverage)!;
        IntervalClass most = classes.MaxBy(one => one.Coverage)!;
        IntervalClass widest = classes.MaxBy(one => one.WidthRatio)!;
        int within = classes.Count(one => one.Coverage is >= 0.85 and <= 0.95);
        string how = FormattableString.Invariant(
            $"{seeds.Length} modelled blocks of 40 × 40 m with errors of surface, ground and light (decision 44), one drawn ({run.DrawnSeed}); {classes.Count} measures and size classes, {within} of them within 85 … 95 %"
        );
        yield return new Figure("uncertainty.leastCoverageOf90", least.Coverage, $"{how}; least: {Name(least)}");
        yield return new Figure("uncertainty.largestCoverageOf90", most.Coverage, $"{how}; most: {Name(most)}");
        yield return new Figure("uncertainty.largestWidthRatio", widest.WidthRatio, $"{how}; widest: {Name(widest)}");
    }

    private static string Name(IntervalClass one) => $"{one.Measure} of {Size(one)} crowns";

    private static string Size(IntervalClass one) =>
        one.SizeClass switch
        {
            0 => "small",
            1 => "middle",
            _ => "large",
        };
}
