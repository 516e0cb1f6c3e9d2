using Hillrow.Numerics;

namespace Hillrow.Planning;

/// <summary>
/// Settles a field's direction on lines that are really laid: estimates choose a few directions, and one line more or
/// less, which no estimate knows, decides between them.
/// </summary>
internal sealed class FieldChoice(
    DirectionChoice directions,
    FieldLines lines,
    PlanningSettings settings,
    KeptOutAreas keptOut
)
{
    private const int LaidInFewFields = 8;
    private const int LaidInManyFields = 2;
    private const int ManyFields = 6;

    public (LaidLines Laid, FieldDirection Told) Choose(PlanField field, PlanPoint home, int fields)
    {
        (IReadOnlyList<DirectionCost> few, DirectionCost contour) = directions.Choose(
            field,
            home,
            fields >= ManyFields ? LaidInManyFields : LaidInFewFields
        );
        FieldSweep[] sweeps = [.. few.Select(cost => SweepOf(field, cost.AzimuthDegrees))];
        LaidLines first = lines.Lay(field, sweeps[0], keptOut);
        LaidLines[] laid = new LaidLines[few.Count];
        DirectionCost[] costs = new DirectionCost[few.Count];
        Parallel.For(
            0,
            few.Count,
            new ParallelOptions { MaxDegreeOfParallelism = Math.Max(1, settings.Threads) },
            at =>
            {
                try
                {
                    laid[at] = at == 0 ? first : lines.Lay(field, sweeps[at], keptOut, first.Effort);
                    costs[at] = directions.CostOf(few[at].AzimuthDegrees, laid[at].Segments, 0, home);
                }
                catch (InputProblemException) when (at != 0)
                {
                    // A direction that cannot be flown (void ground, a trigger too slow) is none to choose.
                    costs[at] = few[at] with
                    {
                        LineSeconds = double.PositiveInfinity,
                    };
                }
            }
        );
        DirectionCost best = DirectionChoice.Ranked(costs).First();
        int chosen = Array.IndexOf(costs, best);
        LaidLines own = laid[chosen];
        if (chosen != 0 && !lines.IsKept(own.Promise, keptOut))
        {
            // The first one's effort was not enough here: its own may cost the lead, so the shorter of both is flown.
            own = lines.Lay(field, sweeps[chosen], keptOut);
            DirectionCost dearer = directions.CostOf(best.AzimuthDegrees, own.Segments, 0, home);
            (own, best) = dearer.Metres < costs[0].Metres ? (own, dearer) : (first, costs[0]);
        }

        return (own, new FieldDirection([.. field.Blocks.Select(block => block.Name)], best, contour));
    }

    private FieldSweep SweepOf(PlanField field, double degrees)
    {
        SweepAxes axes = new(degrees * Math.PI / 180);
        return new FieldSweep(
            new SweepSlices(axes, field.Polygons),
            raised => directions.SizeIn(raised, field, axes.AzimuthRadians)
        );
    }
}
