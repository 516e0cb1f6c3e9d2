using Hillrow.Sheets;
using PdfSharp.Drawing;
using PdfSharp.UniversalAccessibility;

namespace Hillrow.Planning;

/// <summary>
/// The flight card on paper: cautions first, then what is asked, directions, light and marks, then a sheet for each
/// sortie with map, profile and numbers. The same plan and paper give the same bytes.
/// </summary>
public static class FlightCardPdf
{
    private const double MapHeight = 330;
    private const double ProfileHeight = 120;
    private static readonly XColor Warn = XColor.FromArgb(0x1a, 0x1a, 0x1a);

    /// <param name="plan">Finished.</param>
    /// <param name="name">Of the plan.</param>
    /// <param name="estate">Its name.</param>
    /// <param name="paper">To be printed on.</param>
    public static byte[] Of(PlanningResult plan, string name, string estate, Paper paper)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(paper);
        PlanPlaces places = new(plan.Input.Frame);
        // A plan without a day still needs one in the file's own date; any fixed day does.
        using PdfSheets sheets = new(
            paper,
            CardContent.Title(name, estate),
            "en",
            plan.Settings.Date ?? new DateOnly(2000, 1, 1)
        );
        sheets.Paragraph(CardContent.Title(name, estate), 17, bold: true, PdfBlockLevelElementTag.Heading1);
        Heading(sheets, "First");
        foreach (string caution in CardContent.Cautions(plan))
        {
            sheets.Marked(Warn, caution);
        }

        Heading(sheets, CardContent.AskedTitle);
        Facts(sheets, CardContent.Asked(plan));
        foreach (CardTable table in CardContent.Tables(plan, places))
        {
            Heading(sheets, table.Title);
            new PdfTable(sheets, table.Columns, table.Rows).Set();
        }

        foreach (Sortie sortie in plan.Sorties)
        {
            sheets.NewSheet();
            Heading(sheets, CardContent.SortieTitle(sortie));
            Map(sheets, plan, sortie);
            Profile(sheets, plan, sortie);
            Facts(sheets, CardContent.Of(plan, sortie, places));
        }

        using MemoryStream file = new();
        sheets.Graphics.Dispose();
        sheets.Document.Save(file, closeStream: false);
        return SteadyPdf.Of(file.ToArray());
    }

    private static void Heading(PdfSheets sheets, string text)
    {
        // A heading stays with the first lines below it.
        sheets.Need(70);
        sheets.Advance(6);
        sheets.Paragraph(text, 12.5, bold: true, PdfBlockLevelElementTag.Heading2);
        sheets.Rule();
    }

    private static void Facts(PdfSheets sheets, IReadOnlyList<(string What, string Value)> facts) =>
        new PdfTable(
            sheets,
            [new TableColumn("", IsText: true), new TableColumn("", IsText: true)],
            [.. facts.Select(fact => (IReadOnlyList<string>)[fact.What, fact.Value])]
        ).Set();

    private static void Map(PdfSheets sheets, PlanningResult plan, Sortie sortie)
    {
        CardView view = CardView.Of(plan, sortie, sheets.Width, MapHeight);
        sheets.Need(view.Height + CardKey.HeightPoints);
        sheets.Tags.BeginElement(
            PdfIllustrationElementTag.Figure,
            $"Map, north up: blocks, lines, ways and home of sortie {sortie.Number}.",
            new XRect(sheets.Left, sheets.Y, view.Width, view.Height)
        );
        new CardMapPdf(sheets.Graphics, view, sheets.Left, sheets.Y).Draw(plan, sortie);
        sheets.Tags.End();
        sheets.Advance(view.Height + 4);
        CardKey.Draw(sheets, plan);
    }

    private static void Profile(PdfSheets sheets, PlanningResult plan, Sortie sortie)
    {
        const double AxisWidth = 34;
        CardProfile profile = CardProfile.Of(plan, sortie);
        sheets.Need(ProfileHeight + 20);
        XGraphics graphics = sheets.Graphics;
        double left = sheets.Left + AxisWidth;
        double width = sheets.Width - AxisWidth;
        double bottom = sheets.Y + ProfileHeight;
        XPoint At(int at, double height) =>
            new(left + (profile.Along(at) * width), bottom - (profile.Share(height) * (ProfileHeight - 8)));
        sheets.Tags.BeginElement(
            PdfIllustrationElementTag.Figure,
            $"Ground and aircraft along sortie {sortie.Number}, heights against the ground at home.",
            new XRect(sheets.Left, sheets.Y, sheets.Width, ProfileHeight + 12)
        );
        XPoint[] ground = [.. profile.Shown.Select(at => At(at, profile.GroundMetres[at]))];
        graphics.DrawPolygon(
            new XSolidBrush(CardColours.Ground),
            [.. ground, new XPoint(left + width, bottom), new XPoint(left, bottom)],
            XFillMode.Alternate
        );
        graphics.DrawLines(
            new XPen(CardColours.Line, 1),
            [.. profile.Shown.Select(at => At(at, profile.UpMetres[at]))]
        );
        XFont font = SheetFonts.Of(7.5);
        PdfText text = new(graphics, font);
        double heightOf(double metres) => bottom - (profile.Share(metres) * (ProfileHeight - 8));
        void Mark(double metres)
        {
            graphics.DrawLine(new XPen(XColors.Gray, 0.5), left - 3, heightOf(metres), left, heightOf(metres));
            text.Set(
                [CardContent.Text($"{Math.Round(metres) + 0.0:0} m")],
                sheets.Left,
                heightOf(metres) - 5,
                XBrushes.Black,
                left - 5
            );
        }

        Mark(profile.HighMetres);
        Mark(profile.LowMetres);
        if (profile.Share(0) is > 0.12 and < 0.88)
        {
            Mark(0);
        }

        graphics.DrawLine(new XPen(XColors.Gray, 0.5), left, sheets.Y, left, bottom);
        text.Set(
            [
                CardContent.Text(
                    $"Heights above home, along the {profile.LengthMetres / 1000:0.0} km from take-off to landing: ground (brown) and aircraft (line)"
                ),
            ],
            left,
            bottom + 2,
            XBrushes.DimGray
        );
        sheets.Tags.End();
        sheets.Advance(ProfileHeight + 18);
    }
}
