using System.Globalization;
using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Planning;
using Hillrow.Rehearsal;

namespace Hillrow.App.Commands;

/// <summary>A plan's triggers as the rehearsal flies them: places carried over to the model's own local frame.</summary>
internal static class PlanFlown
{
    /// <summary>Battery changed, aircraft up again.</summary>
    private const double ChangeSeconds = 180;

    /// <param name="plan">As filed.</param>
    /// <param name="sortie">Only this one; all in their order when null.</param>
    /// <param name="frame">The model's.</param>
    /// <returns>Seconds from the first trigger; lines numbered through all sorties.</returns>
    /// <exception cref="InputProblemException">No such sortie, or nothing to fly.</exception>
    public static IReadOnlyList<PlannedCapture> Of(FiledPlan plan, int? sortie, LocalFrame frame)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(frame);
        FiledSortie[] sorties =
        [
            .. plan.Sorties.Where(one => (sortie is null || one.Number == sortie) && one.Captures.Count > 0),
        ];
        if (sorties.Length == 0)
        {
            throw new InputProblemException(
                sortie is null ? "--plan" : "--sortie",
                sortie is null
                    ? $"the plan \"{plan.Name}\" has no captures."
                    : string.Create(
                        CultureInfo.InvariantCulture,
                        $"the plan \"{plan.Name}\" has no sortie {sortie} with captures."
                    ),
                $"There are: {string.Join(", ", plan.Sorties.Select(one => one.Number))}."
            );
        }

        List<PlannedCapture> flown = [];
        double begins = -sorties[0].Captures[0].Seconds;
        int lines = 0;
        foreach (FiledSortie one in sorties)
        {
            foreach (PlannedTrigger trigger in one.Captures)
            {
                GeodeticPosition place = plan.Frame.ToGeodetic(trigger.PositionLocalMetres);
                flown.Add(
                    new PlannedCapture(
                        begins + trigger.Seconds,
                        frame.ToLocal(place),
                        trigger.YawDegrees + TurnDegrees(plan.Frame, frame, trigger),
                        lines + trigger.Line
                    )
                );
            }

            lines += one.Captures.Max(trigger => trigger.Line);
            begins += one.Seconds + ChangeSeconds;
        }

        return flown;
    }

    /// <summary>How far the model's north is turned against the plan's at a place: what a step to the plan's north becomes.</summary>
    private static double TurnDegrees(LocalFrame from, LocalFrame to, PlannedTrigger trigger)
    {
        Vector3D here = to.ToLocal(from.ToGeodetic(trigger.PositionLocalMetres));
        Vector3D north = to.ToLocal(from.ToGeodetic(trigger.PositionLocalMetres + new Vector3D(0, 10, 0)));
        return Math.Atan2(north.X - here.X, north.Y - here.Y) * 180 / Math.PI;
    }
}
