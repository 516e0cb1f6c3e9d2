using Hillrow.Checks;
using Hillrow.Numerics;
using Hillrow.Reconstruction;

namespace Hillrow.Validation.Reconstruction;

/// <summary>
/// Where simulated flights are put: with five control points, without any, and date against date. Judging seeds are
/// 101 … 104 and the drawn one; tests and tuning use others below 100.
/// </summary>
public sealed class SimulatedPlaceFigures : FigureSource
{
    public override string Area => "reconstruction";

    public override int Order => 10;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ulong[] seeds = run.Quick ? [run.DrawnSeed] : [101, 102, 103, 104, run.DrawnSeed];
        List<SimulatedPlaces> all = [];
        foreach (ulong seed in seeds)
        {
            all.Add(SimulatedPlaces.Of(seed, lines: 6, perLine: 14));
            run.Say(FormattableString.Invariant($"seed {seed}: {all[^1]}"));
        }

        string how =
            $"simulated sights of 84 captures, 25 % slope, worst of {seeds.Length} seeds, one drawn ({run.DrawnSeed})";
        yield return new Figure("simulated.checkpoints", all.Min(entry => entry.Checkpoints), how);
        yield return new Figure("simulated.withControl.horizontalRmsGsd", all.Max(entry => entry.HorizontalGsd), how);
        yield return new Figure("simulated.withControl.verticalRmsGsd", all.Max(entry => entry.VerticalGsd), how);
        yield return new Figure("simulated.withoutControl.domingGsd", all.Max(entry => entry.DomingGsd), how);
        yield return new Figure("simulated.twoDates.horizontalGsd", all.Max(entry => entry.DatesHorizontalGsd), how);
        yield return new Figure("simulated.twoDates.verticalGsd", all.Max(entry => entry.DatesVerticalGsd), how);
        yield return new Figure(
            "simulated.sigma.leastRmsOfStandardised",
            all.Min(entry => entry.Standardised),
            $"{how}; errors of all poses' coordinates over their told sigma, with control"
        );
        yield return new Figure("simulated.sigma.mostRmsOfStandardised", all.Max(entry => entry.Standardised), how);
    }
}
