using Hillrow.Sheets;

namespace Hillrow.Planning;

/// <summary>Tables of the flight card that concern the whole plan.</summary>
internal static class CardTables
{
    public static CardTable Directions(PlanningResult plan)
    {
        List<IReadOnlyList<string>> rows = [];
        foreach (FieldDirection field in plan.Fields)
        {
            rows.Add(Cost(string.Join(", ", field.Blocks), field.Chosen));
            if (!field.Contour.AzimuthDegrees.Equals(field.Chosen.AzimuthDegrees))
            {
                rows.Add(Cost("… along the contour", field.Contour));
            }
        }

        return new CardTable(
            "Direction of the lines",
            [
                Words("Field"),
                Number("Direction"),
                Number("Lines"),
                Number("Line km"),
                Number("Climbs m"),
                Number("Turns and ways min"),
                Number("In all min"),
            ],
            rows
        );
    }

    public static CardTable Light(PlanningResult plan) =>
        new(
            "Light (UTC)",
            [Words("From"), Words("To"), Words("Sun"), Words("How it is")],
            [
                .. Windows(plan.Light)
                    .Select(window =>
                        (IReadOnlyList<string>)
                            [
                                CardContent.Text($"{window.First.Moment:HH:mm}"),
                                CardContent.Text($"{window.Last.Moment.AddMinutes(10):HH:mm}"),
                                CardContent.Text(
                                    $"{window.First.SunAltitudeDegrees:0}° … {window.Last.SunAltitudeDegrees:0}°"
                                ),
                                window.First.Recommended ? "good" : string.Join("; ", window.Middle.Reasons),
                            ]
                    ),
            ]
        );

    public static CardTable Marks(PlanningResult plan, PlanPlaces places) =>
        new(
            "Ground control (C) and checkpoints (K), proposed",
            [Words("Mark"), Words("Latitude, longitude"), Number("Above sea level"), Number("Captures")],
            [
                .. plan.Marks.Select(mark =>
                {
                    WorldPlace at = places.Of(mark.Place, mark.UpMetres);
                    return (IReadOnlyList<string>)
                        [
                            mark.Name,
                            CardContent.Text($"{at.LatitudeDegrees:0.000000}, {at.LongitudeDegrees:0.000000}"),
                            CardContent.Text($"{at.SeaLevelMetres:0} m"),
                            CardContent.Text($"{mark.Views}"),
                        ];
                }),
            ]
        );

    /// <summary>Runs of moments alike: numbers differ from moment to moment; what kind of trouble it is makes the window.</summary>
    public static IEnumerable<(LightMoment First, LightMoment Middle, LightMoment Last)> Windows(
        IReadOnlyList<LightMoment> light
    )
    {
        int from = 0;
        for (int at = 1; at <= light.Count; at++)
        {
            if (at == light.Count || Kind(light[at]) != Kind(light[from]))
            {
                yield return (light[from], light[(from + at - 1) / 2], light[at - 1]);
                from = at;
            }
        }
    }

    private static int Kind(LightMoment moment) =>
        (moment.SunAltitudeDegrees < 30 ? 1 : 0) + (moment.HotSpotInPicture ? 2 : 0) + (moment.Recommended ? 4 : 0);

    private static IReadOnlyList<string> Cost(string what, DirectionCost cost) =>
        [
            what,
            CardContent.Text($"{cost.AzimuthDegrees:0}°"),
            CardContent.Text($"{cost.Lines}"),
            CardContent.Text($"{cost.LineMetres / 1000:0.0}"),
            CardContent.Text($"{cost.ClimbMetres:0}"),
            CardContent.Text($"{cost.TurnSeconds / 60:0.0}"),
            CardContent.Text($"{cost.Seconds / 60:0.0}"),
        ];

    private static TableColumn Words(string title) => new(title, IsText: true);

    private static TableColumn Number(string title) => new(title, IsText: false);
}
