using System.Reflection;

namespace Hillrow.Handover;

/// <summary>Composes the page: the grower's answers first, then blocks, patches, maps, quality, methods, cautions.</summary>
internal sealed class ReportPage(ReportContent content, ReportTexts texts)
{
    /// <summary>Below this share the page says that part of the block was not looked at.</summary>
    private const double WhollyMapped = 0.98;

    private readonly HtmlText page = new(texts);

    public string Compose()
    {
        string title = texts.Fill("title", content.EstateName, texts.Date(content.SurveyDate));
        page.Line("<!DOCTYPE html>").Line($"<html lang=\"{texts.Language}\">").Line("<head>");
        page.Line("<meta charset=\"utf-8\"/>");
        page.Line("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>");
        page.Line($"<title>{HtmlText.Escape(title)}</title>");
        page.Line("<style>").Raw(Style()).Line("</style>").Line("</head>").Line("<body>");
        page.Line($"<h1>{HtmlText.Escape(title)}</h1>");
        Headline();
        Answers();
        Blocks();
        Patches();
        Maps();
        Quality();
        Warnings();
        Methods();
        Cautions();
        string grid = content.Maps.Count > 0 ? content.Maps[0].Extent.ReferenceSystem : "–";
        string madeBy = texts.Fill("madeby", content.MadeBy, texts.Date(content.SurveyDate), grid);
        page.Line($"<footer>{HtmlText.Escape(madeBy)}</footer>");
        return page.Line("</body>").Line("</html>").ToString();
    }

    private static string Style()
    {
        using Stream stream =
            Assembly.GetExecutingAssembly().GetManifestResourceStream("Hillrow.Handover.Html.page.css")
            ?? throw new InvalidOperationException("The page's style is not in the program.");
        using StreamReader reader = new(stream);
        return reader.ReadToEnd();
    }

    private void Headline()
    {
        string text =
            content.Declining.Value > 0
                ? Filled(
                    "headline.some",
                    page.Figure(content.Declining),
                    page.Figure(content.Plants),
                    page.Figure(content.DecliningShare)
                )
                : HtmlText.Escape(texts["headline.none"]);
        page.Line($"<p class=\"headline\">{text}</p>");
    }

    /// <summary>Puts markup into an escaped text's places.</summary>
    private string Filled(string key, params string[] markup)
    {
        string text = HtmlText.Escape(texts[key]);
        for (int at = 0; at < markup.Length; at++)
        {
            text = text.Replace(FormattableString.Invariant($"{{{at}}}"), markup[at], StringComparison.Ordinal);
        }

        return text;
    }

    private void Answers()
    {
        page.Line("<div class=\"answers\">");
        Answer(
            "ask.where",
            content.Patches.Value > 0
                ? Filled("where.patches", page.Figure(content.Patches))
                : HtmlText.Escape(texts["where.none"])
        );
        string interval = content.DecliningShare is { Low: { } low, High: { } high }
            ? ", "
                + Filled(
                    "between",
                    page.Figure(new ReportFigure(content.DecliningShare.Key + "|low", low, FigureForm.Share)),
                    page.Figure(new ReportFigure(content.DecliningShare.Key + "|high", high, FigureForm.Share))
                )
            : "";
        Answer("ask.howmany", page.Figure(content.Declining) + ": " + page.Figure(content.DecliningShare) + interval);
        Answer("ask.changed", Changed());
        Answer(
            "ask.next",
            HtmlText.Escape(texts[content.Patches.Value > 0 ? "next.dig" : "next.none"])
                + " "
                + HtmlText.Escape(texts["next.advice"])
        );
        page.Line("</div>");
    }

    private string Changed()
    {
        if (content is not { PreviousDate: { } before, NewlyDeclining: { } fresh, Recovered: { } recovered })
        {
            return HtmlText.Escape(texts["changed.first"]);
        }

        string text = Filled(
            "changed.text",
            HtmlText.Escape(texts.Date(before)),
            page.Figure(fresh),
            page.Figure(recovered)
        );
        if (content.FrontMetresPerMonth is { Low: { } low, High: { } high } front)
        {
            text +=
                " "
                + Filled(
                    "changed.front",
                    page.Figure(front),
                    page.Figure(new ReportFigure(front.Key + "|low", low, FigureForm.Metres)),
                    page.Figure(new ReportFigure(front.Key + "|high", high, FigureForm.Metres))
                );
        }

        return content.NewlyAlone is { Value: > 0 } alone
            ? text + " " + Filled("changed.alone", page.Figure(alone))
            : text;
    }

    private void Answer(string key, string markup) =>
        page.Line($"<section><h3>{HtmlText.Escape(texts[key])}</h3><p>{markup}</p></section>");

    private void Blocks()
    {
        Heading("blocks");
        TableHead(
            "col.block",
            "col.area",
            "col.mapped",
            "col.plants",
            "col.gaps",
            "col.declining",
            "col.share",
            "col.severe",
            "col.height"
        );
        foreach (BlockRow block in content.Blocks)
        {
            string share =
                page.Figure(block.Share) + $" <span class=\"interval\">({page.Interval(block.Share)})</span>";
            Row(
                HtmlText.Escape(block.Block),
                page.Figure(block.Area),
                page.Figure(block.Mapped),
                page.Figure(block.Plants),
                page.Figure(block.Gaps),
                page.Figure(block.Declining),
                share,
                page.Figure(block.Severe),
                page.Figure(block.MeanHeight)
            );
        }

        page.Line("</tbody></table>");
        string[] partly =
        [
            .. content
                .Blocks.Where(block => block.Mapped.Value < WhollyMapped)
                .Select(block => HtmlText.Escape(block.Block)),
        ];
        if (partly.Length > 0)
        {
            page.Line($"<p class=\"note\">{Filled("blocks.partly", string.Join(", ", partly))}</p>");
        }
    }

    private void Patches()
    {
        if (content.PatchList.Count == 0)
        {
            return;
        }

        Heading("patches");
        TableHead("col.patch", "col.block", "col.plants", "col.easting", "col.northing");
        foreach (PatchRow patch in content.PatchList)
        {
            Row(
                HtmlText.Escape(patch.Name),
                HtmlText.Escape(patch.Block),
                page.Figure(patch.Plants),
                page.Figure(patch.Easting),
                page.Figure(patch.Northing)
            );
        }

        page.Line("</tbody></table>");
    }

    private void Maps()
    {
        Heading("maps");
        foreach (ReportMap map in content.Maps)
        {
            page.Line($"<figure><figcaption>{HtmlText.Escape(texts[map.TitleKey])}</figcaption>");
            page.Raw(new MapDrawing(map, texts).ToSvg()).Line("</figure>");
        }
    }

    private void Quality()
    {
        Heading("quality");
        page.Line("<table><tbody>");
        foreach (QualityRow row in content.Quality)
        {
            Row(HtmlText.Escape(texts[row.LabelKey]), page.Figure(row.Figure));
        }

        page.Line("</tbody></table>");
    }

    private void Warnings()
    {
        Heading("warnings");
        List(content.Warnings.Count == 0 ? [texts["warnings.none"]] : content.Warnings);
    }

    private void Methods()
    {
        Heading("methods");
        TableHead("col.step", "col.method", "col.source");
        foreach (MethodNote note in content.Methods)
        {
            page.Line(
                $"<tr><td>{HtmlText.Escape(note.What)}</td><td class=\"text\">{HtmlText.Escape(note.Method)}</td><td class=\"text\">{HtmlText.Escape(note.Source)}</td></tr>"
            );
        }

        page.Line("</tbody></table>");
    }

    private void Cautions()
    {
        Heading("cautions");
        List([texts["caution.symptom"], texts["caution.label"], texts["caution.slope"], texts["caution.estimate"]]);
    }

    private void Heading(string key) => page.Line($"<h2>{HtmlText.Escape(texts[key])}</h2>");

    private void List(IReadOnlyList<string> lines)
    {
        page.Line("<ul>");
        foreach (string line in lines)
        {
            page.Line($"<li>{HtmlText.Escape(line)}</li>");
        }

        page.Line("</ul>");
    }

    private void TableHead(params string[] keys)
    {
        page.Raw("<table><thead><tr>");
        foreach (string key in keys)
        {
            page.Raw(
                key is "col.method" or "col.source"
                    ? $"<th class=\"text\">{HtmlText.Escape(texts[key])}</th>"
                    : $"<th>{HtmlText.Escape(texts[key])}</th>"
            );
        }

        page.Line("</tr></thead><tbody>");
    }

    private void Row(params string[] cells) =>
        page.Line("<tr>" + string.Concat(cells.Select(cell => $"<td>{cell}</td>")) + "</tr>");
}
