using System.Globalization;
using System.Reflection;
using System.Text.Encodings.Web;
using System.Text.Json;

namespace Hillrow.Handover;

/// <summary>
/// The walk list as one page for a phone: works by touch and without a network, keeps the answers on the phone and saves
/// them as CSV; prints as a list on paper.
/// </summary>
public static class WalkPage
{
    /// <summary>State words of an answer, in their order; they stand in the CSV as they are.</summary>
    private static readonly string[] States = ["healthy", "light", "moderate", "severe", "dead", "gone"];

    private static readonly string[] Causes =
    [
        "unknown",
        "rootpest",
        "rootrot",
        "stemborer",
        "leafdisease",
        "hunger",
        "drought",
        "picking",
        "other",
    ];

    private static readonly string[] Words =
    [
        "walk.state",
        "walk.cause",
        "walk.sample",
        "walk.note",
        "walk.who",
        "walk.save",
        "walk.answered",
        "walk.position",
        "walk.noposition",
        "walk.next",
        "walk.kept",
        "walk.notkept",
        "walk.steep",
        "north",
    ];

    // Letters stay readable; what could end the script element does not get through.
    private static readonly JsonSerializerOptions Options = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        Encoder = JavaScriptEncoder.Create(System.Text.Unicode.UnicodeRanges.All),
    };

    public static void Write(WalkContent content, Stream destination)
    {
        ArgumentNullException.ThrowIfNull(content);
        ArgumentNullException.ThrowIfNull(destination);
        ReportTexts texts = ReportTexts.Of(content.Language);
        string title = WalkFiles.Title(content, texts);
        HtmlText page = new(texts);
        page.Line("<!DOCTYPE html>").Line($"<html lang=\"{texts.Language}\">").Line("<head>");
        page.Line("<meta charset=\"utf-8\"/>");
        page.Line("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>");
        page.Line($"<title>{HtmlText.Escape(title)}</title>");
        page.Line("<style>").Raw(ReportPage.Style("walk.css")).Line("</style>").Line("</head>").Line("<body>");
        page.Line($"<h1>{HtmlText.Escape(title)}</h1>");
        string length = new Sentence([
            .. Sentence
                .Fill(
                    texts["walk.length"],
                    Sentence.Of(content.Stops.Count.ToString(CultureInfo.InvariantCulture)),
                    Sentence.Of(content.Metres),
                    Sentence.Of(content.Minutes)
                )
                .Pieces,
        ]).Text(texts);
        page.Line($"<p>{HtmlText.Escape(length)}</p>");
        page.Line("<ul class=\"care\">");
        foreach (string caution in new[] { "walk.care.ground", "walk.care.chemicals", "walk.care.blind" })
        {
            page.Line($"<li>{HtmlText.Escape(texts[caution])}</li>");
        }

        page.Line("</ul>");
        page.Line("<svg id=\"sketch\" role=\"img\"></svg><p id=\"where\" class=\"small\"></p>");
        page.Line(
            $"<p class=\"screen\"><button id=\"locate\" type=\"button\">{HtmlText.Escape(texts["walk.position"])}</button></p>"
        );
        page.Line(
            $"<p class=\"screen\"><label>{HtmlText.Escape(texts["walk.who"])} <input id=\"who\" autocomplete=\"off\"/></label></p>"
        );
        foreach (WalkRow stop in content.Stops)
        {
            Stop(page, stop, texts);
        }

        page.Line(
            $"<div class=\"bar screen\"><span id=\"count\"></span><button id=\"save\" type=\"button\">{HtmlText.Escape(texts["walk.save"])}</button></div>"
        );
        page.Line($"<script id=\"data\" type=\"application/json\">{Data(content, texts)}</script>");
        page.Line("<script>").Raw(ReportPage.Style("walk.js")).Line("</script>").Line("</body>").Line("</html>");
        destination.Write(System.Text.Encoding.UTF8.GetBytes(page.ToString()));
    }

    private static void Stop(HtmlText page, WalkRow stop, ReportTexts texts)
    {
        string number = stop.Number.ToString(CultureInfo.InvariantCulture);
        page.Line($"<section class=\"stop\" id=\"stop{number}\" data-stop=\"{number}\">");
        page.Line(
            $"<h2><span class=\"number\">{number}</span> {HtmlText.Escape(texts.Fill("walk.plant", stop.Block, stop.Plant))}</h2>"
        );
        string place = string.Create(
            CultureInfo.InvariantCulture,
            $"{stop.Place.Latitude.Degrees:F6}, {stop.Place.Longitude.Degrees:F6}"
        );
        page.Line(
            $"<p class=\"small\">{HtmlText.Escape(place)} · {HtmlText.Escape(texts.Fill("walk.leg", texts.Number(stop.LegMetres, FigureForm.GridMetres)))} <span class=\"near\"></span></p>"
        );
        if (stop.IsSteep)
        {
            page.Line($"<p class=\"steep\">{HtmlText.Escape(texts["walk.steep"])}</p>");
        }

        page.Line($"<p>{HtmlText.Escape(texts["walk." + stop.Task])}</p>");
        page.Line($"<div class=\"states\" role=\"group\" aria-label=\"{HtmlText.Escape(texts["walk.state"])}\">");
        foreach (string state in States)
        {
            page.Line(
                $"<button type=\"button\" data-state=\"{state}\" aria-pressed=\"false\">{HtmlText.Escape(texts["walk.state." + state])}</button>"
            );
        }

        page.Line("</div>");
        page.Line($"<label>{HtmlText.Escape(texts["walk.cause"])} <select data-field=\"cause\">");
        foreach (string cause in Causes)
        {
            page.Line($"<option value=\"{cause}\">{HtmlText.Escape(texts["walk.cause." + cause])}</option>");
        }

        page.Line("</select></label>");
        page.Line(
            $"<label>{HtmlText.Escape(texts["walk.sample"])} <input data-field=\"sample\" autocomplete=\"off\"/></label>"
        );
        page.Line(
            $"<label>{HtmlText.Escape(texts["walk.note"])} <input data-field=\"note\" autocomplete=\"off\"/></label>"
        );
        page.Line("</section>");
    }

    private static string Data(WalkContent content, ReportTexts texts) =>
        JsonSerializer
            .Serialize(
                new
                {
                    content.Survey,
                    estate = content.EstateName,
                    stops = content.Stops.Select(stop => new
                    {
                        stop.Number,
                        stop.Plant,
                        stop.Task,
                        latitude = Math.Round(stop.Place.Latitude.Degrees, 7),
                        longitude = Math.Round(stop.Place.Longitude.Degrees, 7),
                    }),
                    way = content.Way.Select(place =>
                        new[] { Math.Round(place.Longitude.Degrees, 7), Math.Round(place.Latitude.Degrees, 7) }
                    ),
                    blocks = content.Blocks.Select(block => new
                    {
                        block.Name,
                        ring = block.Ring.Select(place =>
                            new[] { Math.Round(place.Longitude.Degrees, 7), Math.Round(place.Latitude.Degrees, 7) }
                        ),
                    }),
                    words = Words.ToDictionary(word => word, word => texts[word]),
                },
                Options
            )
            .Replace("<", "\\u003c", StringComparison.Ordinal);
}
