using System.Text;
using Hillrow.Sheets;

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
        page.Append(CardDrawing.Safe(CardContent.Title(name, estate)))
            .Append("</h1><div class=\"cautions\"><h2>First</h2><ul>");
        foreach (string caution in CardContent.Cautions(plan))
        {
            page.Append("<li>").Append(CardDrawing.Safe(caution)).Append("</li>");
        }

        page.Append("</ul></div><h2>").Append(CardContent.AskedTitle).Append("</h2>");
        Facts(page, CardContent.Asked(plan));
        foreach (CardTable table in CardContent.Tables(plan, places))
        {
            Table(page, table);
        }

        foreach (Sortie sortie in plan.Sorties)
        {
            page.Append("<section class=\"sortie\"><h2>")
                .Append(CardDrawing.Safe(CardContent.SortieTitle(sortie)))
                .Append("</h2>")
                .Append(CardDrawing.Map(plan, sortie))
                .Append(CardDrawing.Profile(plan, sortie));
            Facts(page, CardContent.Of(plan, sortie, places));
            page.Append("</section>");
        }

        return page.Append("</body></html>\n").ToString();
    }

    private static void Facts(StringBuilder page, IReadOnlyList<(string What, string Value)> facts)
    {
        page.Append("<table>");
        foreach ((string what, string value) in facts)
        {
            page.Append("<tr><th>")
                .Append(CardDrawing.Safe(what))
                .Append("</th><td>")
                .Append(CardDrawing.Safe(value))
                .Append("</td></tr>");
        }

        page.Append("</table>");
    }

    private static void Table(StringBuilder page, CardTable table)
    {
        page.Append("<h2>").Append(CardDrawing.Safe(table.Title)).Append("</h2><table><tr>");
        foreach (TableColumn column in table.Columns)
        {
            page.Append("<th>").Append(CardDrawing.Safe(column.Title)).Append("</th>");
        }

        page.Append("</tr>");
        foreach (IReadOnlyList<string> row in table.Rows)
        {
            page.Append("<tr>");
            for (int at = 0; at < row.Count; at++)
            {
                page.Append(table.Columns[at].IsText ? "<td>" : "<td class=\"n\">")
                    .Append(CardDrawing.Safe(row[at]))
                    .Append("</td>");
            }

            page.Append("</tr>");
        }

        page.Append("</table>");
    }
}
