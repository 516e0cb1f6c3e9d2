using Hillrow.Checks;
using Hillrow.Planning;
using Hillrow.Sight;

namespace Hillrow.Validation.Planning;

/// <summary>Length of the planned route against the best of 180 directions flown by a plain to-and-fro, for 12 shapes on level ground.</summary>
public sealed class RouteLengthFigures : FigureSource
{
    public override string Area => "planning";

    public override int Order => 2;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        HeightField level = PlanScene.Ground(700, 20, (_, _) => 0);
        AircraftProfile aircraft = PlanScene.Aircraft with { BatteryWattHours = 5000 };
        double worst = 0;
        string which = "";
        foreach ((string name, PlanPolygon[] parts) in FieldShapes.Twelve())
        {
            PlanPoint home = new(-260, -240);
            PlanningInput input = PlanScene.Input(level, 0.3, parts, home) with
            {
                Aircraft = aircraft with { HeightSigmaMetres = 0.3 },
                Blocks = [new PlanBlock(name, parts)],
            };
            PlanningSettings settings = new() { LineOfSightMetres = 5000, CanopyMetres = 0 };
            PlanningResult plan = PlanningStage.Run(input, settings);
            double own = plan.Sorties.Sum(sortie => sortie.LengthMetres);
            // The same strip and picture for both: what the planner found on level ground, from its own lines.
            Sortie first = plan.Sorties[0];
            PlainSweep sweep = PlainSweep.For(
                settings,
                plan.HeightMetres,
                input,
                first.Lines.Max(line => line.BaseMetres)
            );
            (double best, double degrees) = sweep.BestOf180(parts, home);
            double ratio = own / best;
            run.Say(
                FormattableString.Invariant(
                    $"  {name}: {own:F0} m (lines {first.LineMetres:F0}, turns {first.TurnMetres:F0}, transit {first.TransitMetres:F0}, climbs {first.ClimbMetres:F0}) at {plan.Fields[0].Chosen.AzimuthDegrees:F0} deg, best of 180 {best:F0} m at {degrees:F0} deg, ratio {ratio:F3}"
                )
            );
            if (ratio > worst)
            {
                (worst, which) = (ratio, name);
            }
        }

        yield return new Figure(
            "route.worstToBestOf180",
            worst,
            $"whole way in plan, home to home, 12 shapes of 3-10 ha on level ground; worst: {which}; the other side: a plain to-and-fro in every whole degree, parts in the best order found, turns as half circles"
        );
    }
}
