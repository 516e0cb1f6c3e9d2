using Hillrow.Sheets;
using PdfSharp.Drawing;
using PdfSharp.UniversalAccessibility;

namespace Hillrow.Handover;

/// <summary>Writes the report's parts as a tagged PDF.</summary>
internal sealed class ReportPdf(ReportContent content, ReportTexts texts, Paper paper)
{
    private const double LeastMapHeight = 240;
    private const double SmallMapHeight = 330;
    private const double HeadingRoom = 70;

    private static readonly XColor NoteColour = XColor.FromArgb(0xb8, 0x86, 0x0b);

    private readonly Dictionary<byte[], XImage> pictures = [];

    public byte[] Compose()
    {
        ReportOutline outline = new(content, texts);
        using PdfSheets sheets = new(paper, outline.Title, texts.Language, content.SurveyDate);
        try
        {
            IReadOnlyList<ReportPart> parts = outline.Parts();
            for (int at = 0; at < parts.Count; at++)
            {
                if (parts[at] is HeadingPart)
                {
                    // A heading stays with what it is the heading of.
                    bool beforeMap = at + 1 < parts.Count && parts[at + 1] is MapPart;
                    sheets.Need(beforeMap ? LeastMapHeight + HeadingRoom : HeadingRoom);
                }

                Write(sheets, parts[at]);
            }

            using MemoryStream file = new();
            sheets.Graphics.Dispose();
            sheets.Document.Save(file, closeStream: false);
            return SteadyPdf.Of(file.ToArray());
        }
        finally
        {
            foreach (XImage picture in pictures.Values)
            {
                picture.Dispose();
            }
        }
    }

    private void Write(PdfSheets sheets, ReportPart part)
    {
        switch (part)
        {
            case TitlePart title:
                sheets.Paragraph(title.Text, 18, bold: true, PdfBlockLevelElementTag.Heading1);
                break;
            case HeadlinePart headline:
                sheets.Paragraph(headline.Said.Text(texts), 13, bold: true, PdfBlockLevelElementTag.Paragraph);
                sheets.Advance(4);
                break;
            case AnswersPart answers:
                Answers(sheets, answers.Answers);
                break;
            case HeadingPart heading:
                sheets.Advance(8);
                sheets.Paragraph(heading.Text, 12.5, bold: true, PdfBlockLevelElementTag.Heading2);
                sheets.Rule();
                break;
            case TablePart table:
                new PdfTable(
                    sheets,
                    table.Columns,
                    [.. table.Rows.Select(row => row.Select(cell => cell.Text(texts)).ToArray())]
                ).Set();
                break;
            case NotePart note:
                sheets.Marked(NoteColour, note.Said.Text(texts));
                break;
            case MapPart map:
                Map(sheets, map);
                break;
            case BulletsPart bullets:
                sheets.Bullets(bullets.Lines);
                break;
            case PageEndPart:
                sheets.NewSheet();
                break;
            case ClosingPart closing:
                sheets.Advance(8);
                sheets.Paragraph(closing.Text, 7.5, bold: false, PdfBlockLevelElementTag.Paragraph);
                break;
            default:
                throw new InvalidOperationException($"The PDF cannot write a {part.GetType().Name}.");
        }
    }

    /// <summary>Two columns of question and answer.</summary>
    private void Answers(PdfSheets sheets, IReadOnlyList<GrowersAnswer> answers)
    {
        const double Space = 16;
        const double Inset = 8;
        double column = (sheets.Width - Space) / 2;
        PdfText asked = new(sheets.Graphics, SheetFonts.Of(9.5, bold: true));
        PdfText said = new(sheets.Graphics, SheetFonts.Of(9));
        for (int at = 0; at < answers.Count; at += 2)
        {
            double tallest = 0;
            for (int side = 0; side < 2 && at + side < answers.Count; side++)
            {
                GrowersAnswer answer = answers[at + side];
                double x = sheets.Left + (side * (column + Space)) + Inset;
                sheets.Tags.BeginElement(PdfBlockLevelElementTag.Heading2);
                double height = asked.Set([answer.Asked], x, sheets.Y, XBrushes.Black);
                sheets.Tags.End();
                sheets.Tags.BeginElement(PdfBlockLevelElementTag.Paragraph);
                height += said.Set(
                    said.Lines(answer.Said.Text(texts), column - Inset),
                    x,
                    sheets.Y + height,
                    XBrushes.Black
                );
                sheets.Tags.End();
                sheets.Tags.BeginArtifact();
                sheets.Graphics.DrawRectangle(new XSolidBrush(PdfWriting.Accent), x - Inset, sheets.Y + 1, 2.5, height);
                sheets.Tags.End();
                tallest = Math.Max(tallest, height);
            }

            sheets.Advance(tallest + 7);
        }
    }

    private void Map(PdfSheets sheets, MapPart part)
    {
        PdfText title = new(sheets.Graphics, SheetFonts.Of(9.5, bold: true));
        PdfText facts = new(sheets.Graphics, SheetFonts.Of(7.5));
        IReadOnlyList<string> told = facts.Lines(part.Facts.Text(texts), sheets.Width);
        double around = title.LineHeight + (told.Count * facts.LineHeight) + 8;
        if (sheets.Room < LeastMapHeight + around)
        {
            sheets.NewSheet();
        }

        double most = part.FillsPage ? sheets.Room : Math.Min(sheets.Room, SmallMapHeight + around);

        (double width, double height) = new PdfMap(part.Map, texts, sheets.Graphics).Fit(sheets.Width, most - around);
        sheets.Need(height + around);
        title = new PdfText(sheets.Graphics, SheetFonts.Of(9.5, bold: true));
        facts = new PdfText(sheets.Graphics, SheetFonts.Of(7.5));
        sheets.Tags.BeginElement(PdfBlockLevelElementTag.Heading3);
        sheets.Advance(title.Set([part.Title], sheets.Left, sheets.Y, XBrushes.Black) + 1);
        sheets.Tags.End();
        sheets.Tags.BeginElement(
            PdfIllustrationElementTag.Figure,
            $"{part.Title}. {part.Facts.Text(texts)}",
            new XRect(sheets.Left, sheets.Y, sheets.Width, height)
        );
        new PdfMap(part.Map, texts, sheets.Graphics).Draw(
            PictureOf(part.Map),
            sheets.Left,
            sheets.Y,
            width,
            sheets.Width
        );
        sheets.Tags.End();
        sheets.Advance(height + 2);
        sheets.Tags.BeginElement(PdfBlockLevelElementTag.Paragraph);
        sheets.Advance(facts.Set(told, sheets.Left, sheets.Y, XBrushes.DimGray) + 5);
        sheets.Tags.End();
    }

    /// <summary>The same picture below two maps stands once in the file.</summary>
    private XImage PictureOf(ReportMap map)
    {
        if (!pictures.TryGetValue(map.Picture, out XImage? picture))
        {
            pictures[map.Picture] = picture = XImage.FromStream(new MemoryStream(map.Picture, writable: false));
        }

        return picture;
    }
}
