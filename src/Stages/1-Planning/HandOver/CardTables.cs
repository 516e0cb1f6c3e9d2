using System.Text;

namespace Hillrow.Planning;

/// <summary>Tables of the flight card that concern the whole plan.</summary>
internal static class CardTables
{
    public static void Directions(StringBuilder page, PlanningResult plan)
    {
        page.Append(
            "<h2>Direction of the lines</h2><table><tr><th>Field</th><th>Direction</th><th>Lines</th><th>Line km</th><th>Climbs m</th><th>Turns and ways min</th><th>In all min</th></tr>"
        );
        foreach (FieldDirection field in plan.Fields)
        {
            Cost(page, string.Join(", ", field.Blocks), field.Chosen);
            if (!field.Contour.AzimuthDegrees.Equals(field.Chosen.AzimuthDegrees))
            {
                Cost(page, "… along the contour", field.Contour);
            }
        }

        page.Append("</table>");
    }

    public static void Light(StringBuilder page, PlanningResult plan)
    {
        if (plan.Light.Count == 0)
        {
            return;
        }

        page.Append("<h2>Light (UTC)</h2><table><tr><th>From</th><th>To</th><th>Sun</th><th></th></tr>");
        int from = 0;
        for (int at = 1; at <= plan.Light.Count; at++)
        {
            // Numbers differ from moment to moment; what kind of trouble it is makes the window.
            if (at == plan.Light.Count || Kind(plan.Light[at]) != Kind(plan.Light[from]))
            {
                LightMoment first = plan.Light[from];
                LightMoment last = plan.Light[at - 1];
                LightMoment middle = plan.Light[(from + at - 1) / 2];
                page.Append(
                    CardDrawing.Text(
                        $"<tr><td>{first.Moment:HH:mm}</td><td>{last.Moment.AddMinutes(10):HH:mm}</td><td>{first.SunAltitudeDegrees:0}° … {last.SunAltitudeDegrees:0}°</td><td>{(first.Recommended ? "<b>good</b>" : CardDrawing.Safe(string.Join("; ", middle.Reasons)))}</td></tr>"
                    )
                );
                from = at;
            }
        }

        page.Append("</table>");
    }

    public static void Marks(StringBuilder page, PlanningResult plan, PlanPlaces places)
    {
        if (plan.Marks.Count == 0)
        {
            return;
        }

        page.Append(
            "<h2>Ground control (C) and checkpoints (K), proposed</h2><table><tr><th>Mark</th><th>Latitude, longitude</th><th>Above sea level</th><th>Captures</th></tr>"
        );
        foreach (ProposedMark mark in plan.Marks)
        {
            WorldPlace at = places.Of(mark.Place, mark.UpMetres);
            page.Append(
                CardDrawing.Text(
                    $"<tr><td>{mark.Name}</td><td>{at.LatitudeDegrees:0.000000}, {at.LongitudeDegrees:0.000000}</td><td class=\"n\">{at.SeaLevelMetres:0} m</td><td class=\"n\">{mark.Views}</td></tr>"
                )
            );
        }

        page.Append("</table>");
    }

    private static int Kind(LightMoment moment) =>
        (moment.SunAltitudeDegrees < 30 ? 1 : 0) + (moment.HotSpotInPicture ? 2 : 0) + (moment.Recommended ? 4 : 0);

    private static void Cost(StringBuilder page, string what, DirectionCost cost)
    {
        page.Append("<tr><td>").Append(CardDrawing.Safe(what)).Append("</td>");
        page.Append(
            CardDrawing.Text(
                $"<td class=\"n\">{cost.AzimuthDegrees:0}°</td><td class=\"n\">{cost.Lines}</td><td class=\"n\">{cost.LineMetres / 1000:0.0}</td><td class=\"n\">{cost.ClimbMetres:0}</td><td class=\"n\">{cost.TurnSeconds / 60:0.0}</td><td class=\"n\">{cost.Seconds / 60:0.0}</td></tr>"
            )
        );
    }
}
