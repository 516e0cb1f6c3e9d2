using System.Globalization;
using System.Net;
using System.Text;

namespace Hillrow.Intake;

/// <summary>The field check as one page that needs nothing beside it, and prints on one sheet of A4.</summary>
public static class FieldCheckPage
{
    private const int MostBlocks = 12;
    private const int MostFiles = 3;
    private const int MostDecisions = 6;
    private const int MostReasons = 8;

    private const string Style = """
        @page{size:A4;margin:11mm}
        *{box-sizing:border-box}
        body{font:13px/1.35 sans-serif;color:#1b1b1b;max-width:900px;margin:0 auto;padding:12px}
        h1{font-size:26px;margin:0}h2{font-size:15px;margin:12px 0 4px;border-bottom:2px solid #2c5d63;break-after:avoid}
        .go{color:#1a5276}.refly{color:#a04000}
        p{margin:3px 0}ul{margin:4px 0;padding-left:18px}
        .sides{display:grid;grid-template-columns:58% 1fr;gap:0 18px}
        table{border-collapse:collapse;width:100%}
        td,th{padding:2px 8px 2px 0;text-align:right;border-bottom:1px solid #ccc;vertical-align:top}
        td:first-child,th:first-child,td.text,th.text{text-align:left}
        td.file{overflow-wrap:anywhere}
        svg{width:100%;height:auto;display:block}
        .map svg{max-height:112mm}
        section{break-inside:avoid}
        @media(max-width:620px){.sides{grid-template-columns:1fr}}
        @media print{body{padding:0;font-size:11px}}
        """;

    /// <param name="check">What was found.</param>
    /// <param name="settings">By which it was judged.</param>
    /// <param name="estate">Its name.</param>
    /// <param name="survey">Its id.</param>
    /// <param name="texts">In the reader's language.</param>
    public static string Write(
        FieldCheckResult check,
        FieldCheckSettings settings,
        string estate,
        string survey,
        CheckTexts texts
    )
    {
        ArgumentNullException.ThrowIfNull(check);
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(texts);
        string title = texts.Fill("title", survey, estate);
        StringBuilder page = new();
        page.Append(
            CultureInfo.InvariantCulture,
            $"<!doctype html><html lang=\"{texts.Language}\"><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\"><title>{Safe(title)}</title><style>{Style}</style>"
        );
        string verdict = check.Go ? texts["verdict.go"] : texts.Fill("verdict.refly", Math.Ceiling(check.ReflyMinutes));
        page.Append(
            CultureInfo.InvariantCulture,
            $"<h1 class=\"{(check.Go ? "go" : "refly")}\">{Safe(verdict)}</h1><p><b>{Safe(title)}</b></p><p>{Safe(texts.Fill("counted", check.SharpCaptures, check.Captures))}</p>"
        );
        Told(page, check, settings, texts);
        page.Append("<div class=\"sides\"><section class=\"map\">");
        if (check.Map.Views.Count > 0)
        {
            Heading(page, texts["map"]);
            page.Append(new CheckMapDrawing(check, texts).ToSvg());
        }

        page.Append("</section><div>");
        Flight(page, check, texts);
        Blocks(page, check, texts);
        page.Append("</div></div>");
        if (LightDrawing.ToSvg(check.Light, texts) is { } light)
        {
            page.Append("<section>");
            Heading(page, texts["light"]);
            page.Append(light).Append(CultureInfo.InvariantCulture, $"<p>{Safe(texts["light.note"])}</p></section>");
        }

        Pictures(page, check, texts);
        Decisions(page, check, texts);
        return page.Append("</html>\n").ToString();
    }

    internal static string Safe(string text) => WebUtility.HtmlEncode(text);

    private static void Heading(StringBuilder page, string text) =>
        page.Append(CultureInfo.InvariantCulture, $"<h2>{Safe(text)}</h2>");

    private static void Told(StringBuilder page, FieldCheckResult check, FieldCheckSettings settings, CheckTexts texts)
    {
        string[] reasons = [.. CheckSentences.Reasons(check, settings, texts)];
        string[] lines =
        [
            .. reasons.Take(MostReasons).Select(line => $"<li><b>{Safe(line)}</b>"),
            .. reasons.Length > MostReasons
                ? [$"<li>{Safe(texts.Fill("more", reasons.Length - MostReasons))}"]
                : Array.Empty<string>(),
            .. CheckSentences.Cautions(check, settings, texts).Select(line => $"<li>{Safe(line)}"),
        ];
        if (lines.Length > 0)
        {
            page.Append("<ul>").AppendJoin("", lines).Append("</ul>");
        }
    }

    private static void Flight(StringBuilder page, FieldCheckResult check, CheckTexts texts)
    {
        AchievedFlight flight = check.Achieved;
        AchievedPlan? plan = flight.Plan;
        List<(string Name, string Planned, string Flown)> rows = [];
        string Percent(double? share) => share is { } value ? texts.Fill("percent", 100 * value) : "–";
        string Centimetres(double metres) => texts.Fill("centimetres", 100 * metres);
        if (plan is not null)
        {
            rows.Add(
                (
                    texts["flight.captures"],
                    texts.Fill("whole", plan.PlannedCaptures),
                    texts.Fill("whole", plan.AchievedCaptures)
                )
            );
        }

        if (flight.Lines.Count > 0)
        {
            rows.Add(
                (
                    texts["flight.lines"],
                    plan is null ? "" : texts.Fill("whole", plan.Lines.Count),
                    texts.Fill("whole", plan?.LinesFlown ?? flight.Lines.Count)
                )
            );
        }

        if (check.ForwardOverlap is not null)
        {
            rows.Add(
                (
                    texts["flight.forward"],
                    plan is null ? "" : Percent(plan.WantedForwardOverlap),
                    Percent(check.ForwardOverlap)
                )
            );
        }

        if (check.SideOverlap is not null)
        {
            rows.Add(
                (texts["flight.side"], plan is null ? "" : Percent(plan.WantedSideOverlap), Percent(check.SideOverlap))
            );
        }

        if (flight.Pixels is { } pixels)
        {
            rows.Add(
                (
                    texts["flight.pixel"],
                    plan is null ? "" : Centimetres(plan.WantedPixelMetres),
                    $"{Centimetres(pixels.FinestMetres)}–{Centimetres(pixels.CoarsestMetres)}"
                )
            );
        }

        if (rows.Count == 0)
        {
            return;
        }

        Heading(page, plan is null ? texts["flight"] : $"{texts["flight"]} ({plan.Plan})");
        string planned = plan is null ? "" : $"<th>{Safe(texts["col.planned"])}";
        page.Append(CultureInfo.InvariantCulture, $"<table><tr><th>{planned}<th>{Safe(texts["col.flown"])}");
        foreach ((string name, string wanted, string flown) in rows)
        {
            string middle = plan is null ? "" : $"<td>{Safe(wanted)}";
            page.Append(CultureInfo.InvariantCulture, $"<tr><td>{Safe(name)}{middle}<td>{Safe(flown)}");
        }

        page.Append("</table>");
    }

    private static void Blocks(StringBuilder page, FieldCheckResult check, CheckTexts texts)
    {
        if (check.Blocks.Count == 0)
        {
            return;
        }

        Heading(page, texts["blocks"]);
        page.Append("<table><tr>");
        foreach (string column in new[] { "block", "area", "least", "median", "well", "pixel" })
        {
            page.Append(CultureInfo.InvariantCulture, $"<th>{Safe(texts[$"col.{column}"])}");
        }

        // The worst seen first: where there are many, those are the ones to look at.
        foreach (BlockCoverage block in check.Blocks.OrderBy(block => block.ShareWellSeen).Take(MostBlocks))
        {
            page.Append(
                CultureInfo.InvariantCulture,
                $"<tr><td>{Safe(block.Block)}<td>{texts.Fill("hectares", block.AreaSquareMetres / 10_000)}<td>{block.LeastViews}<td>{texts.Fill("whole", block.MedianViews)}<td>{texts.Fill("percent", 100 * block.ShareWellSeen)}<td>{texts.Fill("centimetres", 100 * block.FinestPixelMetres)}–{texts.Fill("centimetres", 100 * block.CoarsestPixelMetres)}"
            );
        }

        page.Append("</table>");
        More(page, check.Blocks.Count - MostBlocks, texts);
    }

    private static void Pictures(StringBuilder page, FieldCheckResult check, CheckTexts texts)
    {
        IGrouping<FrameFault, FrameFinding>[] kinds =
        [
            .. check.Findings.GroupBy(finding => finding.Fault).OrderBy(kind => kind.Key),
        ];
        if (kinds.Length == 0)
        {
            return;
        }

        page.Append("<section>");
        Heading(page, texts["pictures"]);
        page.Append(
            CultureInfo.InvariantCulture,
            $"<table><tr><th>{Safe(texts["col.fault"])}<th>{Safe(texts["col.count"])}<th class=\"text\">{Safe(texts["col.where"])}"
        );
        foreach (IGrouping<FrameFault, FrameFinding> kind in kinds)
        {
            int count = kind.Sum(finding => finding.Count);
            string[] places = [.. kind.Select(finding => finding.Where).Distinct().Take(MostFiles)];
            int left = kind.Select(finding => finding.Where).Distinct().Count() - places.Length;
            string where = string.Join(", ", places) + (left > 0 ? ", " + texts.Fill("more", left) : "");
            page.Append(
                CultureInfo.InvariantCulture,
                $"<tr><td>{Safe(texts.Of(kind.Key))}<td>{count}<td class=\"text file\">{Safe(where)}"
            );
        }

        page.Append("</table></section>");
    }

    private static void Decisions(StringBuilder page, FieldCheckResult check, CheckTexts texts)
    {
        CaptureExclusion[] decided = [.. check.Exclusions.Where(one => one.Decision is not null)];
        if (decided.Length == 0)
        {
            return;
        }

        page.Append("<section>");
        Heading(page, texts["decided"]);
        page.Append("<ul>");
        foreach (CaptureExclusion one in decided.Take(MostDecisions))
        {
            string because = one.Decision!.Because.Length > 0 ? $": {one.Decision.Because}" : "";
            string what = texts[one.LeftOut ? "decided.leaveOut" : "decided.keep"];
            page.Append(CultureInfo.InvariantCulture, $"<li>{Safe($"{one.File} {what}{because}")}");
        }

        page.Append("</ul>");
        More(page, decided.Length - MostDecisions, texts);
        page.Append("</section>");
    }

    private static void More(StringBuilder page, int left, CheckTexts texts)
    {
        if (left > 0)
        {
            page.Append(CultureInfo.InvariantCulture, $"<p>{Safe(texts.Fill("more", left))}</p>");
        }
    }
}
