using System.Text;

namespace Hillrow.Planning;

/// <summary>
/// The flight card: one page of its own with nothing to load, that prints on paper. Cautions first, then the light, then a
/// sheet for each sortie with map, profile and numbers.
/// </summary>
public static class FlightCard
{
    private const string Style = """
        body{font:14px/1.4 sans-serif;color:#1a1a1a;max-width:760px;margin:1em auto;padding:0 1em}
        h1{font-size:22px}h2{font-size:17px;margin-bottom:.3em}
        .cautions{border:2px solid #1a1a1a;padding:.4em 1em}
        table{border-collapse:collapse;width:100%;margin:.5em 0}td,th{border-bottom:1px solid #bbb;padding:.15em .5em;text-align:left}
        td.n{text-align:right;font-variant-numeric:tabular-nums}
        svg{width:100%;height:auto}svg text{font-size:11px}
        .block{fill:#dfe8c8;stroke:#5a7030;fill-rule:evenodd}.nofly{fill:#e9d4de;stroke:#7b3f61;stroke-dasharray:4 3}
        .route{fill:none;stroke:#31688e}.line{stroke:#440154;stroke-width:1.6}.obstacle{fill:#b5651d;stroke:#b5651d}
        .home{fill:#fff;stroke:#000;stroke-width:2}.control{fill:#21918c}.check{fill:#fff;stroke:#21918c;stroke-width:1.5}
        .ground{fill:#d9cfc1}.bar{stroke:#000;stroke-width:2}polygon.obstacle,polyline.obstacle{fill:none}
        .sortie{break-before:page}
        @media print{body{margin:0;max-width:none}a{color:inherit}}
        """;

    public static string Of(PlanningResult plan, string name, string estate)
    {
        ArgumentNullException.ThrowIfNull(plan);
        PlanPlaces places = new(plan.Input.Frame);
        StringBuilder page = new();
        page.Append("<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\"><title>");
        page.Append(CardDrawing.Safe($"Flight card {name}, {estate}"));
        page.Append("</title><style>").Append(Style).Append("</style></head><body><h1>");
        page.Append(CardDrawing.Safe($"Flight card: {estate}, {name}"))
            .Append("</h1><div class=\"cautions\"><h2>First</h2><ul>");
        foreach (string caution in PlanCautions.Always.Concat(plan.Cautions))
        {
            page.Append("<li>").Append(CardDrawing.Safe(caution)).Append("</li>");
        }

        page.Append("</ul></div><h2>What is asked</h2><table>");
        Row(page, "Camera, band", $"{plan.Input.Camera.Name}, {plan.Input.Camera.BandName}");
        Row(page, "Aircraft", plan.Input.Aircraft.Name);
        Row(page, "Pixel on the ground", Text($"{100 * plan.Settings.PixelMetres:0.#} cm"));
        Row(page, "Height above ground", Text($"{plan.HeightMetres:0} m (ceiling {plan.Settings.CeilingMetres:0} m)"));
        Row(
            page,
            "Overlap forward, side",
            Text(
                $"{100 * plan.Settings.ForwardOverlap:0} %, {100 * plan.Settings.SideOverlap:0} %: {plan.Settings.Views} captures see every place"
            )
        );
        Row(
            page,
            "Seen (nominal ground)",
            Text($"least {plan.Coverage.LeastViews}, half of the ground {plan.Coverage.MedianViews:0} captures or more")
        );
        Row(
            page,
            "Clearance",
            Text(
                $"{plan.Settings.ClearanceMetres:0} m over ground, crop and obstacles at {100 * plan.Settings.ClearanceProbability:0.##} %: {plan.MarginMetres:0} m over what is known"
            )
        );
        Row(page, "Terrain's standard error", Text($"{plan.Input.TerrainSigmaMetres:0.#} m"));
        Row(
            page,
            "Wind planned for",
            Text($"{plan.Settings.Wind.MetresPerSecond:0.#} m/s from {plan.Settings.Wind.FromDegrees:0}°")
        );
        Row(page, "Captures, storage", Text($"{plan.CaptureCount}, up to {plan.StorageBytes / 1e9:0.0} GB"));
        Row(
            page,
            "Motion in the picture",
            Text($"up to {plan.LargestBlurPixels:0.00} pixels at {1000 * plan.Settings.LongestExposureSeconds:0.##} ms")
        );
        page.Append("</table>");
        CardTables.Directions(page, plan);
        CardTables.Light(page, plan);
        CardTables.Marks(page, plan, places);
        foreach (Sortie sortie in plan.Sorties)
        {
            Sheet(page, plan, sortie, places);
        }

        return page.Append("</body></html>\n").ToString();
    }

    private static void Sheet(StringBuilder page, PlanningResult plan, Sortie sortie, PlanPlaces places)
    {
        WorldPlace home = places.Of(sortie.Home.Place, sortie.HomeUpMetres, sortie);
        double battery = plan.Input.Aircraft.BatteryWattHours;
        page.Append(Text($"<section class=\"sortie\"><h2>Sortie {sortie.Number}, from "));
        page.Append(CardDrawing.Safe(sortie.Home.Name)).Append("</h2>").Append(CardDrawing.Map(plan, sortie));
        page.Append(CardDrawing.Profile(plan, sortie)).Append("<table>");
        Row(
            page,
            "Home",
            Text(
                $"{home.LatitudeDegrees:0.000000}, {home.LongitudeDegrees:0.000000}; {home.SeaLevelMetres:0} m above sea level (EGM96), {home.EllipsoidMetres:0} m above the WGS 84 ellipsoid"
            )
        );
        Row(page, "In the air", Text($"{sortie.Seconds / 60:0.0} min"));
        Row(
            page,
            "Battery",
            Text(
                $"{100 * sortie.EnergyWattHours / battery:0} % used, {100 * plan.Input.Aircraft.ReserveShare:0} % kept"
            )
        );
        Row(
            page,
            "Lines, turns, transit",
            Text(
                $"{sortie.LineMetres / 1000:0.0} km in {sortie.Lines.Count}, {sortie.TurnMetres / 1000:0.0} km, {sortie.TransitMetres / 1000:0.0} km"
            )
        );
        Row(
            page,
            "Climbs",
            Text($"{sortie.ClimbMetres:0} m in all; highest {sortie.HighestAboveHomeMetres:0} m above home")
        );
        Row(page, "Highest above ground", Text($"{sortie.HighestAboveGroundMetres:0} m"));
        Row(page, "Nearest to what is known", Text($"{sortie.LeastClearanceMetres:0} m"));
        Row(page, "Farthest from the pilot", Text($"{sortie.FarthestMetres:0} m"));
        Row(
            page,
            "Captures",
            Text(
                $"{sortie.Captures.Count}, every {sortie.Lines.Min(line => line.BaseMetres):0.0} m or more, {sortie.Lines.Min(line => line.IntervalSeconds):0.0} s or longer (camera: {plan.Input.Camera.ShortestIntervalSeconds:0.0} s)"
            )
        );
        Row(
            page,
            "Speed on lines",
            Text(
                $"{sortie.Lines.Min(line => line.SpeedMetresPerSecond):0.0} to {sortie.Lines.Max(line => line.SpeedMetresPerSecond):0.0} m/s"
            )
        );
        page.Append("</table></section>");
    }

    internal static void Row(StringBuilder page, string what, string value) =>
        page.Append("<tr><th>")
            .Append(CardDrawing.Safe(what))
            .Append("</th><td>")
            .Append(CardDrawing.Safe(value))
            .Append("</td></tr>");

    private static string Text(FormattableString text) => CardDrawing.Text(text);
}
