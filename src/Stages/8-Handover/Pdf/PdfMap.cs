using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Sheets;
using PdfSharp.Drawing;

namespace Hillrow.Handover;

/// <summary>Draws a map: the picture, outlines and marks as lines over it, scale bar and legend below.</summary>
internal sealed class PdfMap(ReportMap map, ReportTexts texts, XGraphics graphics)
{
    private const double LegendRow = 13;
    private const double EntryWidth = 118;
    private const double ScaleRow = 20;

    /// <summary>The drawing of the HTML page is 1000 units wide; marks keep their size on paper instead.</summary>
    private const double MarkScale = 0.42;

    private double left;
    private double top;
    private double width;

    private double PictureHeight => width * map.Extent.HeightMetres / map.Extent.WidthMetres;

    private static double LegendHeight(int entries, double width) =>
        ScaleRow + (LegendRow * Math.Ceiling(entries / Math.Max(1, Math.Floor(width / EntryWidth))));

    /// <summary>Width of the picture and height of the whole that fit into a frame.</summary>
    public (double Width, double Height) Fit(double frameWidth, double frameHeight)
    {
        double legend = LegendHeight(Entries().Count, frameWidth);
        double picture = Math.Min(
            frameWidth,
            (frameHeight - legend) * map.Extent.WidthMetres / map.Extent.HeightMetres
        );
        return (picture, (picture * map.Extent.HeightMetres / map.Extent.WidthMetres) + legend);
    }

    public void Draw(XImage picture, double x, double y, double pictureWidth, double frameWidth)
    {
        (left, top, width) = (x, y, pictureWidth);
        graphics.DrawImage(picture, x, y, width, PictureHeight);
        XGraphicsState state = graphics.Save();
        graphics.IntersectClip(new XRect(x, y, width, PictureHeight));
        foreach (MapOutline outline in map.Outlines)
        {
            Outline(outline);
        }

        foreach (MapMark mark in map.Marks)
        {
            Mark(mark.Kind, X(mark.Place), Y(mark.Place));
        }

        foreach (MapOutline outline in map.Outlines)
        {
            Name(outline);
        }

        NorthArrow(x + width - 16, y + 8);
        graphics.Restore(state);
        graphics.DrawRectangle(new XPen(XColors.DimGray, 0.5), x, y, width, PictureHeight);
        Scale(x, y + PictureHeight + 14);
        IReadOnlyList<Action<double, double>> entries = Entries();
        int perRow = Math.Max(1, (int)(frameWidth / EntryWidth));
        for (int at = 0; at < entries.Count; at++)
        {
            entries[at]
                (x + 6 + (EntryWidth * (at % perRow)), y + PictureHeight + ScaleRow + (LegendRow * (at / perRow)) + 6);
        }
    }

    private double X(GridPoint place) =>
        left + ((place.EastingMetres - map.Extent.West) / map.Extent.WidthMetres * width);

    private double Y(GridPoint place) =>
        top + ((map.Extent.North - place.NorthingMetres) / map.Extent.HeightMetres * PictureHeight);

    private IReadOnlyList<Action<double, double>> Entries()
    {
        List<Action<double, double>> entries = [];
        foreach (MarkKind kind in map.Marks.Select(mark => mark.Kind).Distinct().Order())
        {
            entries.Add(
                (x, y) =>
                {
                    if (kind == MarkKind.Gap)
                    {
                        graphics.DrawRectangle(XBrushes.DimGray, x - 5, y - 5, 10, 10);
                    }

                    Mark(kind, x, y);
                    Label(texts[$"mark.{kind}"], x, y);
                }
            );
        }

        foreach (OutlineKind kind in map.Outlines.Select(outline => outline.Kind).Distinct().Order())
        {
            entries.Add(
                (x, y) =>
                {
                    XGraphicsPath path = new();
                    path.AddRectangle(x - 5, y - 4, 10, 8);
                    Stroke(path, kind);
                    Label(texts[$"outline.{kind}"], x, y);
                }
            );
        }

        if (map.Ramp is { } ramp)
        {
            entries.Add((x, y) => Ramp(ramp, x, y));
        }

        return entries;
    }

    private void Ramp(MapRamp ramp, double x, double y)
    {
        const double Length = 80;
        double step = Length / ramp.Colours.Count;
        for (int at = 0; at < ramp.Colours.Count; at++)
        {
            graphics.DrawRectangle(new XSolidBrush(Colour(ramp.Colours[at])), x + (at * step), y - 4, step + 0.2, 8);
        }

        string text =
            $"{texts[ramp.LabelKey]}: {texts.Number(ramp.Low, FigureForm.Plain)} – {texts.Number(ramp.High, FigureForm.Plain)}";
        Label(text, x + Length - 4, y);
    }

    private void Label(string text, double x, double y) =>
        graphics.DrawString(text, SheetFonts.Of(7.5), XBrushes.Black, x + 9, y + 2.7);

    private void Outline(MapOutline outline)
    {
        XGraphicsPath path = new() { FillMode = XFillMode.Alternate };
        path.AddPolygon([.. outline.Polygon.Outer.Select(Point)]);
        foreach (IReadOnlyList<GridPoint> hole in outline.Polygon.Holes)
        {
            path.AddPolygon([.. hole.Select(Point)]);
        }

        Stroke(path, outline.Kind);
    }

    private XPoint Point(GridPoint place) => new(X(place), Y(place));

    /// <summary>Light over dark, so that a line is seen on any picture, in colour and in grey.</summary>
    private void Stroke(XGraphicsPath path, OutlineKind kind)
    {
        graphics.DrawPath(new XPen(XColor.FromArgb(0x20, 0x20, 0x20), 2.2), path);
        XPen pen = new(kind == OutlineKind.Block ? XColors.White : Colour(MapStyle.PatchColour), 1.2);
        if (kind == OutlineKind.Patch)
        {
            pen.DashPattern = [3.5, 1.6];
        }

        graphics.DrawPath(pen, path);
    }

    private void Name(MapOutline outline)
    {
        if (outline.Name.Length == 0)
        {
            return;
        }

        XPoint middle = new(outline.Polygon.Outer.Average(X), outline.Polygon.Outer.Average(Y));
        Haloed(outline.Name, SheetFonts.Of(outline.Kind == OutlineKind.Block ? 9 : 7.5, bold: true), middle);
    }

    private void Haloed(string text, XFont font, XPoint middle)
    {
        double half = graphics.MeasureString(text, font).Width / 2;
        graphics.DrawRectangle(
            new XSolidBrush(XColor.FromArgb(200, 255, 255, 255)),
            middle.X - half - 1.5,
            middle.Y - (font.Size * 0.62),
            (2 * half) + 3,
            font.Size * 1.24
        );
        graphics.DrawString(text, font, XBrushes.Black, middle, XStringFormats.Center);
    }

    private void Mark(MarkKind kind, double x, double y)
    {
        const double S = MarkScale;
        XPen edge = new(XColor.FromArgb(0x22, 0x22, 0x22), 0.5);
        switch (kind)
        {
            case MarkKind.Light:
                graphics.DrawEllipse(
                    edge,
                    new XSolidBrush(Colour(MapStyle.LightColour)),
                    x - (4 * S),
                    y - (4 * S),
                    8 * S,
                    8 * S
                );
                break;
            case MarkKind.Moderate:
                graphics.DrawRectangle(
                    edge,
                    new XSolidBrush(Colour(MapStyle.ModerateColour)),
                    x - (4.5 * S),
                    y - (4.5 * S),
                    9 * S,
                    9 * S
                );
                break;
            case MarkKind.Severe:
                graphics.DrawPolygon(
                    edge,
                    new XSolidBrush(Colour(MapStyle.SevereColour)),
                    [new(x, y - (7 * S)), new(x + (6.5 * S), y + (5 * S)), new(x - (6.5 * S), y + (5 * S))],
                    XFillMode.Winding
                );
                break;
            case MarkKind.New:
                graphics.DrawEllipse(
                    new XPen(Colour(MapStyle.PatchColour), 0.9),
                    x - (8 * S),
                    y - (8 * S),
                    16 * S,
                    16 * S
                );
                break;
            case MarkKind.Recovered:
                graphics.DrawLines(
                    new XPen(Colour(MapStyle.RecoveredColour), 1.2),
                    [new(x - (6 * S), y), new(x - (2 * S), y + (5 * S)), new(x + (6 * S), y - (5 * S))]
                );
                break;
            default:
                XPen cross = new(XColors.White, 1);
                graphics.DrawLine(cross, x - (5 * S), y - (5 * S), x + (5 * S), y + (5 * S));
                graphics.DrawLine(cross, x - (5 * S), y + (5 * S), x + (5 * S), y - (5 * S));
                break;
        }
    }

    private void NorthArrow(double x, double y)
    {
        graphics.DrawPolygon(
            new XPen(XColors.Black, 0.8),
            XBrushes.White,
            [new(x, y), new(x + 6, y + 19), new(x, y + 15), new(x - 6, y + 19)],
            XFillMode.Winding
        );
        Haloed(texts["north"], SheetFonts.Of(8, bold: true), new XPoint(x, y + 27));
    }

    private void Scale(double x, double baseline)
    {
        double metres = RoundLength.Within(map.Extent.WidthMetres, 0.25);
        double length = metres / map.Extent.WidthMetres * width;
        graphics.DrawLines(
            new XPen(XColors.Black, 1.2),
            [new(x, baseline - 5), new(x, baseline), new(x + length, baseline), new(x + length, baseline - 5)]
        );
        graphics.DrawString(
            FormattableString.Invariant($"{metres} m"),
            SheetFonts.Of(8),
            XBrushes.Black,
            x + length + 5,
            baseline
        );
    }

    private static XColor Colour(string hex) =>
        XColor.FromArgb(Convert.ToInt32(hex[1..3], 16), Convert.ToInt32(hex[3..5], 16), Convert.ToInt32(hex[5..7], 16));
}
