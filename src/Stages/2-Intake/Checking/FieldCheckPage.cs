using System.Globalization;
using System.Net;
using System.Text;
using Hillrow.Sight;

namespace Hillrow.Intake;

/// <summary>The field check as one page that needs nothing beside it.</summary>
public static class FieldCheckPage
{
    private const int MostRows = 240;

    /// <summary>Colours by number of views, from cividis (Nuñez, Anderton and Renslow 2018, doi 10.1371/journal.pone.0199239).</summary>
    private static readonly string[] Ramp =
    [
        "#a50026",
        "#00224e",
        "#123570",
        "#3b496c",
        "#575d6d",
        "#707173",
        "#8a8678",
        "#a59c74",
        "#c3b369",
        "#e1cc55",
        "#fee838",
    ];

    public static string Write(FieldCheckResult check, string title)
    {
        ArgumentNullException.ThrowIfNull(check);
        static string Safe(string text) => WebUtility.HtmlEncode(text);
        StringBuilder page = new();
        page.Append(
                "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\"><title>"
            )
            .Append(Safe(title))
            .Append(
                "</title><style>body{font:16px/1.4 sans-serif;margin:1.5em;max-width:60em}h1{margin:0}table{border-collapse:collapse}td,th{padding:.2em .8em .2em 0;text-align:left}svg{max-width:100%;height:auto;border:1px solid #999}</style>"
            );
        string verdict = check.Go
            ? "Go"
            : string.Create(CultureInfo.InvariantCulture, $"Re-fly, about {Math.Ceiling(check.ReflyMinutes)} min");
        page.Append(
            CultureInfo.InvariantCulture,
            $"<h1>{verdict}</h1><p>{Safe(title)}: {check.SharpCaptures} of {check.Captures} captures count for the map.</p><ul>"
        );
        foreach (string line in check.Reasons.Concat(check.Cautions))
        {
            page.Append("<li>").Append(Safe(line));
        }

        page.Append("</ul>");
        Map(page, check);
        page.Append("<table><tr><th>Block<th>ha<th>least views<th>median<th>well seen<th>pixel, cm");
        foreach (BlockCoverage block in check.Blocks)
        {
            page.Append(
                CultureInfo.InvariantCulture,
                $"<tr><td>{Safe(block.Block)}<td>{block.AreaSquareMetres / 10_000:0.00}<td>{block.LeastViews}<td>{block.MedianViews:0}<td>{100 * block.ShareWellSeen:0.0} %<td>{100 * block.FinestPixelMetres:0.0}–{100 * block.CoarsestPixelMetres:0.0}"
            );
        }

        page.Append("</table>");
        Light(page, check.Light);
        page.Append("<h2>Pictures</h2><table>");
        foreach (FrameFinding finding in check.Findings.Take(400))
        {
            page.Append(
                CultureInfo.InvariantCulture,
                $"<tr><td>{Safe(FieldCheck.Words(finding.Fault))}<td>{Safe(finding.Where)}<td>{Safe(finding.Reason)}"
            );
        }

        return page.Append("</table></html>\n").ToString();
    }

    private static void Map(StringBuilder page, FieldCheckResult check)
    {
        LocalGrid grid = check.Map.Grid;
        int step = Math.Max(1, Math.Max(grid.Rows, grid.Columns) / MostRows);
        page.Append(
            CultureInfo.InvariantCulture,
            $"<h2>Captures that see each place</h2><svg width=\"{720}\" viewBox=\"0 0 {grid.Columns} {grid.Rows}\" shape-rendering=\"crispEdges\">"
        );
        for (int row = 0; row < grid.Rows; row += step)
        {
            for (int column = 0; column < grid.Columns; )
            {
                int colour = Colour(check.Map.Views[(row * grid.Columns) + column]);
                int end = column + step;
                while (end < grid.Columns && Colour(check.Map.Views[(row * grid.Columns) + end]) == colour)
                {
                    end += step;
                }

                if (colour >= 0)
                {
                    page.Append(
                        CultureInfo.InvariantCulture,
                        $"<rect x=\"{column}\" y=\"{row}\" width=\"{end - column}\" height=\"{step}\" fill=\"{Ramp[colour]}\"/>"
                    );
                }

                column = end;
            }
        }

        foreach (CoverageHole hole in check.Holes)
        {
            page.Append("<polygon fill=\"none\" stroke=\"#d00\" stroke-width=\"1\" points=\"");
            foreach ((double east, double north) in hole.RingLocalMetres)
            {
                page.Append(
                    CultureInfo.InvariantCulture,
                    $"{(east - grid.WestMetres) / grid.CellMetres:0.##},{(grid.NorthMetres - north) / grid.CellMetres:0.##} "
                );
            }

            page.Append("\"/>");
        }

        page.Append("</svg><p>");
        for (int views = 0; views < Ramp.Length; views++)
        {
            page.Append(
                CultureInfo.InvariantCulture,
                $"<span style=\"background:{Ramp[views]};padding:0 .7em\"></span> {views}{(views == Ramp.Length - 1 ? "+" : "")} "
            );
        }

        page.Append("views; outlined: holes. North is up.</p>");
    }

    private static int Colour(int views) => views < 0 ? -1 : Math.Min(views, Ramp.Length - 1);

    private static void Light(StringBuilder page, LightCheck light)
    {
        if (light.Series.Count < 2)
        {
            return;
        }

        double last = Math.Max(1, light.Series[^1].Seconds);
        page.Append(
            "<h2>Light</h2><svg width=\"720\" viewBox=\"0 0 720 120\"><polyline fill=\"none\" stroke=\"#00224e\" points=\""
        );
        foreach ((double seconds, double level) in light.Series)
        {
            page.Append(
                CultureInfo.InvariantCulture,
                $"{720 * seconds / last:0.#},{120 - (60 * Math.Clamp(level, 0, 2)):0.#} "
            );
        }

        page.Append("\"/></svg><p>Irradiance against its middle, from take-off to landing.</p>");
    }
}
