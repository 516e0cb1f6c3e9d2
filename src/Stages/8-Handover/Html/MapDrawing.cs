using System.Globalization;
using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Handover;

/// <summary>Draws a map as SVG: picture, outlines, marks, then scale bar, north arrow, legend and date below.</summary>
/// <remarks>
/// Colours of the marks: ColorBrewer YlOrRd (sequential, colour-blind safe; Harrower &amp; Brewer 2003,
/// doi 10.1179/000870403235002042). Shapes differ too, for grey prints.
/// </remarks>
internal sealed class MapDrawing(ReportMap map, ReportTexts texts)
{
    private const double Width = 1000;
    private const double LegendRow = 30;
    private const double EntryWidth = 230;

    private double Height => Width * map.Extent.HeightMetres / map.Extent.WidthMetres;

    public string ToSvg()
    {
        List<string> entries = [.. Entries()];
        int perRow = (int)(Width / EntryWidth);
        double legendHeight = 64 + (LegendRow * ((entries.Count + perRow - 1) / perRow));
        HtmlText svg = new(texts);
        svg.Line(
            Text(
                $"<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {Width} {Height + legendHeight:0.#}\" role=\"img\" aria-label=\"{HtmlText.Escape(texts[map.TitleKey])}\">"
            )
        );
        svg.Line(
            Text($"<image x=\"0\" y=\"0\" width=\"{Width}\" height=\"{Height:0.###}\" preserveAspectRatio=\"none\" ")
                + $"href=\"data:{map.PictureType};base64,{Convert.ToBase64String(map.Picture)}\"/>"
        );
        foreach (MapOutline outline in map.Outlines)
        {
            svg.Line(Outline(outline));
        }

        foreach (MapMark mark in map.Marks)
        {
            svg.Line(Mark(mark.Kind, X(mark.Place), Y(mark.Place)));
        }

        svg.Line(NorthArrow());
        svg.Line(Scale(Height + 40));
        for (int entry = 0; entry < entries.Count; entry++)
        {
            double x = 20 + (EntryWidth * (entry % perRow));
            double y = Height + 72 + (LegendRow * (entry / perRow));
            svg.Line(Text($"<g transform=\"translate({x} {y:0.#})\">{entries[entry]}</g>"));
        }

        return svg.Line("</svg>").ToString();
    }

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);

    private double X(GridPoint place) => (place.EastingMetres - map.Extent.West) / map.Extent.WidthMetres * Width;

    private double Y(GridPoint place) => (map.Extent.North - place.NorthingMetres) / map.Extent.HeightMetres * Height;

    private IEnumerable<string> Entries()
    {
        foreach (MarkKind kind in map.Marks.Select(mark => mark.Kind).Distinct().Order())
        {
            yield return Mark(kind, 0, 0) + Label(texts[$"mark.{kind}"]);
        }

        foreach (OutlineKind kind in map.Outlines.Select(outline => outline.Kind).Distinct().Order())
        {
            yield return $"<path d=\"M-8 -7H8V7H-8Z\" {Style(kind)}/>" + Label(texts[$"outline.{kind}"]);
        }

        if (map.Ramp is { } ramp)
        {
            string stops = string.Concat(
                ramp.Colours.Select(
                    (colour, at) =>
                        Text(
                            $"<rect x=\"{at * 120.0 / ramp.Colours.Count:0.##}\" y=\"-9\" width=\"{(120.0 / ramp.Colours.Count) + 0.6:0.##}\" height=\"16\" fill=\"{colour}\"/>"
                        )
                )
            );
            string label =
                $"{texts[ramp.LabelKey]}: {texts.Number(ramp.Low, FigureForm.Plain)} – {texts.Number(ramp.High, FigureForm.Plain)}";
            yield return stops + $"<text x=\"130\" y=\"6\" font-size=\"17\">{HtmlText.Escape(label)}</text>";
        }
    }

    private static string Label(string text) =>
        $"<text x=\"18\" y=\"6\" font-size=\"17\">{HtmlText.Escape(text)}</text>";

    private string Outline(MapOutline outline)
    {
        string path = Ring(outline.Polygon.Outer) + string.Concat(outline.Polygon.Holes.Select(Ring));
        string name =
            outline.Name.Length == 0
                ? ""
                : Text(
                    $"<text x=\"{outline.Polygon.Outer.Average(X):0.#}\" y=\"{outline.Polygon.Outer.Average(Y):0.#}\" font-size=\"22\" font-weight=\"bold\" text-anchor=\"middle\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"4\" paint-order=\"stroke\">{HtmlText.Escape(outline.Name)}</text>"
                );
        return $"<path d=\"{path}\" {Style(outline.Kind)}/>{name}";
    }

    private string Ring(IReadOnlyList<GridPoint> ring) =>
        "M" + string.Join('L', ring.Select(point => Text($"{X(point):0.#} {Y(point):0.#}"))) + "Z";

    private static string Style(OutlineKind kind) =>
        kind == OutlineKind.Block
            ? "fill=\"none\" stroke=\"#ffffff\" stroke-width=\"2.5\" style=\"filter:drop-shadow(0 0 1px #000)\""
            : $"fill=\"none\" stroke=\"{MapStyle.PatchColour}\" stroke-width=\"4\" stroke-dasharray=\"10 5\"";

    private static string Mark(MarkKind kind, double x, double y)
    {
        string shape = kind switch
        {
            MarkKind.Light => $"<circle r=\"4\" fill=\"{MapStyle.LightColour}\" stroke=\"#222\"/>",
            MarkKind.Moderate =>
                $"<rect x=\"-4.5\" y=\"-4.5\" width=\"9\" height=\"9\" fill=\"{MapStyle.ModerateColour}\" stroke=\"#222\"/>",
            MarkKind.Severe => $"<path d=\"M0 -7L6.5 5H-6.5Z\" fill=\"{MapStyle.SevereColour}\" stroke=\"#222\"/>",
            MarkKind.New => $"<circle r=\"8\" fill=\"none\" stroke=\"{MapStyle.PatchColour}\" stroke-width=\"2.2\"/>",
            MarkKind.Recovered =>
                $"<path d=\"M-6 0L-2 5L6 -5\" fill=\"none\" stroke=\"{MapStyle.RecoveredColour}\" stroke-width=\"3\"/>",
            _ =>
                "<path d=\"M-5 -5L5 5M-5 5L5 -5\" fill=\"none\" stroke=\"#fff\" stroke-width=\"2.4\" style=\"filter:drop-shadow(0 0 1px #000)\"/>",
        };
        return Text($"<g transform=\"translate({x:0.#} {y:0.#})\">{shape}</g>");
    }

    private string NorthArrow() =>
        Text(
            $"<g transform=\"translate({Width - 40} 20)\"><path d=\"M0 0L13 40L0 31L-13 40Z\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"2\"/><text y=\"62\" font-size=\"20\" font-weight=\"bold\" text-anchor=\"middle\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"4\" paint-order=\"stroke\">{HtmlText.Escape(texts["north"])}</text></g>"
        );

    private string Scale(double y)
    {
        double metres = RoundLength.Within(map.Extent.WidthMetres, 0.25);
        double length = metres / map.Extent.WidthMetres * Width;
        return Text(
            $"<g transform=\"translate(20 {y:0.#})\"><path d=\"M0 -12V0H{length:0.#}V-12\" fill=\"none\" stroke=\"#000\" stroke-width=\"3\"/><text x=\"{length + 10:0.#}\" y=\"0\" font-size=\"20\">{metres} m</text></g>"
        );
    }
}
