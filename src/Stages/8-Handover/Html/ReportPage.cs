using System.Reflection;
using Hillrow.Sheets;

namespace Hillrow.Handover;

/// <summary>Writes the report's parts as one HTML page.</summary>
internal sealed class ReportPage(ReportContent content, ReportTexts texts)
{
    private readonly HtmlText page = new(texts);

    public string Compose()
    {
        ReportOutline outline = new(content, texts);
        page.Line("<!DOCTYPE html>").Line($"<html lang=\"{texts.Language}\">").Line("<head>");
        page.Line("<meta charset=\"utf-8\"/>");
        page.Line("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>");
        page.Line($"<title>{HtmlText.Escape(outline.Title)}</title>");
        page.Line("<style>").Raw(Style("page.css")).Line("</style>").Line("</head>").Line("<body>");
        foreach (ReportPart part in outline.Parts())
        {
            Write(part);
        }

        return page.Line("</body>").Line("</html>").ToString();
    }

    /// <summary>A style sheet of the program's own.</summary>
    internal static string Style(string file)
    {
        using Stream stream =
            Assembly.GetExecutingAssembly().GetManifestResourceStream($"Hillrow.Handover.Html.{file}")
            ?? throw new InvalidOperationException($"The page's {file} is not in the program.");
        using StreamReader reader = new(stream);
        return reader.ReadToEnd();
    }

    private void Write(ReportPart part)
    {
        switch (part)
        {
            case TitlePart title:
                page.Line($"<h1>{HtmlText.Escape(title.Text)}</h1>");
                break;
            case HeadlinePart headline:
                page.Line($"<p class=\"headline\">{page.Of(headline.Said)}</p>");
                break;
            case AnswersPart answers:
                page.Line("<div class=\"answers\">");
                foreach (GrowersAnswer answer in answers.Answers)
                {
                    page.Line(
                        $"<section><h3>{HtmlText.Escape(answer.Asked)}</h3><p>{page.Of(answer.Said)}</p></section>"
                    );
                }

                page.Line("</div>");
                break;
            case HeadingPart heading:
                page.Line($"<h2>{HtmlText.Escape(heading.Text)}</h2>");
                break;
            case TablePart table:
                Table(table);
                break;
            case NotePart note:
                page.Line($"<p class=\"note\">{page.Of(note.Said)}</p>");
                break;
            case MapPart map:
                page.Line($"<figure><figcaption>{HtmlText.Escape(map.Title)}</figcaption>");
                page.Raw(new MapDrawing(map.Map, texts).ToSvg());
                page.Line($"<p class=\"facts\">{page.Of(map.Facts)}</p></figure>");
                break;
            case BulletsPart bullets:
                page.Line("<ul>");
                foreach (string line in bullets.Lines)
                {
                    page.Line($"<li>{HtmlText.Escape(line)}</li>");
                }

                page.Line("</ul>");
                break;
            case PageEndPart:
                page.Line("<div class=\"pageend\"></div>");
                break;
            case ClosingPart closing:
                page.Line($"<footer>{HtmlText.Escape(closing.Text)}</footer>");
                break;
            default:
                throw new InvalidOperationException($"The page cannot write a {part.GetType().Name}.");
        }
    }

    private void Table(TablePart table)
    {
        page.Line("<div class=\"wide\"><table>");
        if (table.HasHead)
        {
            page.Line(
                "<thead><tr>"
                    + string.Concat(
                        table.Columns.Select(column => $"<th{Class(column)}>{HtmlText.Escape(column.Title)}</th>")
                    )
                    + "</tr></thead>"
            );
        }

        page.Line("<tbody>");
        foreach (IReadOnlyList<Sentence> row in table.Rows)
        {
            page.Line(
                "<tr>"
                    + string.Concat(row.Select((cell, at) => $"<td{Class(table.Columns[at])}>{page.Of(cell)}</td>"))
                    + "</tr>"
            );
        }

        page.Line("</tbody></table></div>");
    }

    private static string Class(TableColumn column) => column.IsText ? " class=\"text\"" : "";
}
