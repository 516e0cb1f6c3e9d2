using PdfSharp.Drawing;
using PdfSharp.UniversalAccessibility;

namespace Hillrow.Sheets;

/// <summary>Running text on sheets: paragraphs, rules below headings, marked notes, bullets.</summary>
public static class PdfWriting
{
    /// <summary>Of rules and of bars beside answers.</summary>
    public static XColor Accent { get; } = XColor.FromArgb(0x2c, 0x5d, 0x63);

    /// <param name="sheets">Written to.</param>
    /// <param name="said">The text.</param>
    /// <param name="size">Points.</param>
    /// <param name="bold">Or regular.</param>
    /// <param name="tag">What it is to a reader that speaks.</param>
    /// <param name="indent">Points from the left edge.</param>
    public static void Paragraph(
        this PdfSheets sheets,
        string said,
        double size,
        bool bold,
        PdfBlockLevelElementTag tag,
        double indent = 0
    )
    {
        ArgumentNullException.ThrowIfNull(sheets);
        PdfText text = new(sheets.Graphics, SheetFonts.Of(size, bold));
        IReadOnlyList<string> lines = text.Lines(said, sheets.Width - indent);
        sheets.Need(Math.Min(lines.Count * text.LineHeight, sheets.WholeHeight));
        text = new PdfText(sheets.Graphics, SheetFonts.Of(size, bold));
        sheets.Tags.BeginElement(tag);
        double height = text.Set(lines, sheets.Left + indent, sheets.Y, XBrushes.Black);
        sheets.Tags.End();
        sheets.Advance(height + 2);
    }

    public static void Rule(this PdfSheets sheets)
    {
        ArgumentNullException.ThrowIfNull(sheets);
        sheets.Tags.BeginArtifact();
        sheets.Graphics.DrawLine(new XPen(Accent, 1.2), sheets.Left, sheets.Y, sheets.Left + sheets.Width, sheets.Y);
        sheets.Tags.End();
        sheets.Advance(5);
    }

    /// <summary>A paragraph with a coloured bar beside it.</summary>
    public static void Marked(this PdfSheets sheets, XColor colour, string said)
    {
        ArgumentNullException.ThrowIfNull(sheets);
        sheets.Advance(2);
        double from = sheets.Y;
        sheets.Paragraph(said, 8.5, bold: false, PdfBlockLevelElementTag.Paragraph, indent: 8);
        if (sheets.Y > from)
        {
            sheets.Tags.BeginArtifact();
            sheets.Graphics.DrawRectangle(new XSolidBrush(colour), sheets.Left, from, 2.5, sheets.Y - from);
            sheets.Tags.End();
        }

        sheets.Advance(4);
    }

    public static void Bullets(this PdfSheets sheets, IReadOnlyList<string> lines)
    {
        ArgumentNullException.ThrowIfNull(sheets);
        ArgumentNullException.ThrowIfNull(lines);
        foreach (string line in lines)
        {
            sheets.Paragraph("• " + line, 8.5, bold: false, PdfBlockLevelElementTag.Paragraph);
        }
    }
}
