using Hillrow.Checks;
using Hillrow.Planning;
using Hillrow.Sight;

namespace Hillrow.Validation.Planning;

/// <summary>
/// Length of the planned route against the best of 180 directions flown by a plain to-and-fro, on level ground: 12 shapes
/// that stand in the code, and 12 that are drawn at the run and judge (docs/decisions/0034).
/// </summary>
public sealed class RouteLengthFigures : FigureSource
{
    public override string Area => "planning";

    public override int Order => 2;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        PlanPoint home = new(-260, -240);
        (double standing, string which) = Worst(
            run.Say,
            FieldShapes.Twelve().Select(shape => (shape.Name, shape.Parts, home))
        );
        const string OtherSide =
            "the other side: a plain to-and-fro in every whole degree, parts in the best order found, turns as half circles";
        yield return new Figure(
            "route.worstToBestOf180",
            standing,
            $"whole way in plan, home to home, 12 shapes of 3-10 ha on level ground; worst: {which}; {OtherSide}"
        );
        (double drawn, string drawnWhich) = Worst(run.Say, DrawnShapes.Twelve(run.DrawnSeed));
        yield return new Figure(
            "route.worstToBestOf180OfDrawn",
            drawn,
            $"the same on 12 shapes drawn from {run.DrawnSeed}; worst: {drawnWhich}; {OtherSide}"
        );
    }

    private static (double Ratio, string Name) Worst(
        Action<string> say,
        IEnumerable<(string Name, PlanPolygon[] Parts, PlanPoint Home)> shapes
    )
    {
        (double Ratio, string Name) worst = (0, "");
        foreach ((string name, PlanPolygon[] parts, PlanPoint home) in shapes)
        {
            double ratio = Ratio(say, name, parts, home);
            worst = ratio > worst.Ratio ? (ratio, name) : worst;
        }

        return worst;
    }

    private static double Ratio(Action<string> say, string name, PlanPolygon[] parts, PlanPoint home)
    {
        HeightField level = PlanScene.Ground(900, 20, (_, _) => 0);
        PlanningInput input = PlanScene.Input(level, 0.3, parts, home) with
        {
            // One battery for all, so that the split does not enter.
            Aircraft = PlanScene.Aircraft with
            {
                BatteryWattHours = 5000,
                HeightSigmaMetres = 0.3,
            },
            Blocks = [new PlanBlock(name, parts)],
        };
        PlanningSettings settings = new() { LineOfSightMetres = 5000, CanopyMetres = 0 };
        PlanningResult plan = PlanningStage.Run(input, settings);
        double own = plan.Sorties.Sum(sortie => sortie.LengthMetres);
        // The same strip and picture for both: what the planner found on level ground, from its own lines.
        Sortie first = plan.Sorties[0];
        PlainSweep sweep = PlainSweep.For(settings, plan.HeightMetres, input, first.Lines.Max(line => line.BaseMetres));
        (double best, double degrees) = sweep.BestOf180(parts, home);
        double ratio = own / best;
        say(
            FormattableString.Invariant(
                $"  {name}: {own:F0} m (lines {first.LineMetres:F0}, turns {first.TurnMetres:F0}, transit {first.TransitMetres:F0}, climbs {first.ClimbMetres:F0}) at {plan.Fields[0].Chosen.AzimuthDegrees:F0} deg, best of 180 {best:F0} m at {degrees:F0} deg, ratio {ratio:F3}"
            )
        );
        return ratio;
    }
}
