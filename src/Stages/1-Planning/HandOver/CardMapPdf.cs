using Hillrow.Sheets;
using PdfSharp.Drawing;
using PdfSharp.UniversalAccessibility;

namespace Hillrow.Planning;

/// <summary>Colours of the card on paper; each also differs by line or shape, so that a grey print reads.</summary>
internal static class CardColours
{
    public static XColor Block { get; } = XColor.FromArgb(0xdf, 0xe8, 0xc8);

    public static XColor BlockEdge { get; } = XColor.FromArgb(0x5a, 0x70, 0x30);

    public static XColor NoFly { get; } = XColor.FromArgb(0xe9, 0xd4, 0xde);

    public static XColor NoFlyEdge { get; } = XColor.FromArgb(0x7b, 0x3f, 0x61);

    public static XColor Way { get; } = XColor.FromArgb(0x6b, 0x8a, 0xa5);

    public static XColor Line { get; } = XColor.FromArgb(0x2a, 0x2a, 0x5e);

    public static XColor Obstacle { get; } = XColor.FromArgb(0x9a, 0x3d, 0x0c);

    public static XColor Mark { get; } = XColor.FromArgb(0x1b, 0x6b, 0x66);

    public static XColor Ground { get; } = XColor.FromArgb(0xd9, 0xcf, 0xc1);
}

/// <summary>Draws the map of a sortie on a sheet, north up.</summary>
/// <param name="graphics">Of the sheet.</param>
/// <param name="view">From places to points.</param>
/// <param name="left">Of the drawing on the sheet, points.</param>
/// <param name="top">Of the drawing on the sheet, points.</param>
internal sealed class CardMapPdf(XGraphics graphics, CardView view, double left, double top)
{
    private const double BarPoints = 90;

    public void Draw(PlanningResult plan, Sortie sortie)
    {
        XFont font = SheetFonts.Of(8, bold: true);
        XGraphicsState whole = graphics.Save();
        graphics.IntersectClip(new XRect(left, top, view.Width, view.Height));
        foreach (PlanBlock block in plan.Input.Blocks)
        {
            Area(block.Parts, CardColours.Block, new XPen(CardColours.BlockEdge, 0.8));
        }

        XPen kept = new(CardColours.NoFlyEdge, 0.9) { DashStyle = XDashStyle.Dash };
        foreach (NoFlyArea area in plan.Input.NoFly)
        {
            Area([area.Outline], CardColours.NoFly, kept);
        }

        XPoint[] way = [.. sortie.Route.Select(sample => At(sample.Place))];
        graphics.DrawLines(new XPen(CardColours.Way, 0.6), way);
        foreach (SortieLine line in sortie.Lines)
        {
            graphics.DrawLine(new XPen(CardColours.Line, 1.2), At(line.From), At(line.To));
        }

        XPen wire = new(CardColours.Obstacle, 1.3) { DashStyle = XDashStyle.DashDot };
        foreach (Obstacle obstacle in plan.Input.Obstacles)
        {
            XPoint[] points = [.. obstacle.Points.Select(At)];
            if (points.Length == 1)
            {
                Triangle(points[0], 4.5);
            }
            else if (obstacle.Shape == ObstacleShape.Area)
            {
                graphics.DrawPolygon(wire, points);
            }
            else
            {
                graphics.DrawLines(wire, points);
            }
        }

        foreach (ProposedMark mark in plan.Marks)
        {
            XPoint at = At(mark.Place);
            XRect square = new(at.X - 2.6, at.Y - 2.6, 5.2, 5.2);
            graphics.DrawRectangle(
                new XPen(CardColours.Mark, 0.9),
                mark.IsCheckpoint ? XBrushes.White : new XSolidBrush(CardColours.Mark),
                square
            );
            Label(mark.Name, SheetFonts.Of(6.5), new XPoint(at.X + 4, at.Y + 2.4), XStringFormats.BaseLineLeft);
        }

        // Names above all lines, or they could not be read.
        foreach (PlanBlock block in plan.Input.Blocks)
        {
            Label(block.Name, font, At(block.Parts[0].Centroid), XStringFormats.BaseLineCenter);
        }

        XPoint home = At(sortie.Home.Place);
        graphics.DrawEllipse(new XPen(XColors.Black, 1.6), XBrushes.White, home.X - 4, home.Y - 4, 8, 8);
        Bar();
        North();
        graphics.Restore(whole);
    }

    private XPoint At(PlanPoint place) => new(left + view.X(place), top + view.Y(place));

    private void Area(IReadOnlyList<PlanPolygon> parts, XColor fill, XPen edge)
    {
        foreach (PlanPolygon part in parts)
        {
            XGraphicsPath path = new() { FillMode = XFillMode.Alternate };
            foreach (IReadOnlyList<PlanPoint> ring in part.Rings)
            {
                path.AddPolygon([.. ring.Select(At)]);
            }

            graphics.DrawPath(edge, new XSolidBrush(fill), path);
        }
    }

    private void Triangle(XPoint at, double size) =>
        graphics.DrawPolygon(
            new XSolidBrush(CardColours.Obstacle),
            [
                new XPoint(at.X, at.Y - size),
                new XPoint(at.X + size, at.Y + (0.8 * size)),
                new XPoint(at.X - size, at.Y + (0.8 * size)),
            ],
            XFillMode.Alternate
        );

    /// <summary>A text on a white ground, kept inside the drawing.</summary>
    private void Label(string text, XFont font, XPoint at, XStringFormat format)
    {
        XSize size = graphics.MeasureString(text, font);
        double begins = format.Alignment == XStringAlignment.Center ? at.X - (size.Width / 2) : at.X;
        begins = Math.Clamp(begins, left, Math.Max(left, left + view.Width - size.Width));
        double baseline = Math.Clamp(at.Y, top + font.Size, top + view.Height - 2);
        graphics.DrawRectangle(
            new XSolidBrush(XColor.FromArgb(200, 255, 255, 255)),
            begins - 1,
            baseline - (0.85 * font.Size),
            size.Width + 2,
            font.Size
        );
        graphics.DrawString(text, font, XBrushes.Black, begins, baseline);
    }

    private void Bar()
    {
        double metres = view.BarMetres(BarPoints);
        XPoint from = new(left + 4, top + view.Height - 5);
        graphics.DrawLine(new XPen(XColors.Black, 1.6), from, new XPoint(from.X + (metres * view.Scale), from.Y));
        Label(
            CardContent.Text($"{metres:0} m"),
            SheetFonts.Of(7.5),
            new XPoint(from.X, from.Y - 4),
            XStringFormats.BaseLineLeft
        );
    }

    private void North()
    {
        double x = left + view.Width - 12;
        graphics.DrawPolygon(
            XBrushes.Black,
            [new XPoint(x, top + 2), new XPoint(x + 4, top + 13), new XPoint(x - 4, top + 13)],
            XFillMode.Alternate
        );
        graphics.DrawString(
            "N",
            SheetFonts.Of(8, bold: true),
            XBrushes.Black,
            new XPoint(x, top + 22),
            XStringFormats.BaseLineCenter
        );
    }
}

/// <summary>The line below a map that says what its signs mean.</summary>
internal static class CardKey
{
    public const double HeightPoints = 24;

    public static void Draw(PdfSheets sheets, PlanningResult plan)
    {
        List<string> said = ["Thick lines: pictures", "thin lines: turns and ways", "circle: home"];
        if (plan.Input.NoFly.Count > 0)
        {
            said.Add("dashed area: no-fly");
        }

        if (plan.Input.Obstacles.Count > 0)
        {
            said.Add("triangle or dash-dot: obstacle");
        }

        if (plan.Marks.Count > 0)
        {
            said.Add("full square: ground control, open square: checkpoint");
        }

        sheets.Paragraph(string.Join("; ", said) + ".", 7.5, bold: false, PdfBlockLevelElementTag.Paragraph);
        sheets.Advance(3);
    }
}
