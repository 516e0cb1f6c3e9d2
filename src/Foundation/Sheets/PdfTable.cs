using PdfSharp.Drawing;
using PdfSharp.UniversalAccessibility;

namespace Hillrow.Sheets;

/// <summary>A column of a printed table: text is set to the left and wrapped, numbers to the right.</summary>
public readonly record struct TableColumn(string Title, bool IsText);

/// <summary>Sets a table: columns as wide as they need, texts wrapped, the head repeated on every sheet.</summary>
/// <param name="sheets">Written to.</param>
/// <param name="columns">Columns without a title have no head row.</param>
/// <param name="rows">One text for each column.</param>
public sealed class PdfTable(
    PdfSheets sheets,
    IReadOnlyList<TableColumn> columns,
    IReadOnlyList<IReadOnlyList<string>> rows
)
{
    private const double Size = 8;
    private const double Gap = 8;
    private const double Above = 2.5;
    private const double LeastText = 60;

    private readonly bool hasHead = columns.Any(column => column.Title.Length > 0);

    public void Set()
    {
        double[] widths = Widths();
        sheets.Tags.BeginElement(PdfBlockLevelElementTag.Table);
        bool headSet = false;
        foreach (IReadOnlyList<string> row in rows)
        {
            IReadOnlyList<string>[] cells = Wrapped(row, widths, bold: false);
            double height = HeightOf(cells);
            double headHeight = hasHead ? HeightOf(Wrapped(Titles(), widths, bold: true)) : 0;
            if (sheets.Room < height + (headSet ? 0 : headHeight) && height < sheets.WholeHeight - headHeight)
            {
                sheets.NewSheet();
                headSet = false;
            }

            if (!headSet && hasHead)
            {
                SetRow(Wrapped(Titles(), widths, bold: true), widths, isHead: true);
                headSet = true;
            }

            SetRow(cells, widths, isHead: false);
        }

        sheets.Tags.End();
        sheets.Advance(6);
    }

    private string[] Titles() => [.. columns.Select(column => column.Title)];

    private PdfText Text(bool bold) => new(sheets.Graphics, SheetFonts.Of(Size, bold));

    private IReadOnlyList<string>[] Wrapped(IReadOnlyList<string> row, double[] widths, bool bold)
    {
        PdfText text = Text(bold);
        return [.. row.Select((cell, at) => text.Lines(cell, widths[at] - Gap + 0.5))];
    }

    private double HeightOf(IReadOnlyList<string>[] cells) =>
        (cells.Max(lines => lines.Count) * Text(bold: false).LineHeight) + (2 * Above);

    private void SetRow(IReadOnlyList<string>[] cells, double[] widths, bool isHead)
    {
        double height = HeightOf(cells);
        PdfText text = Text(isHead);
        sheets.Tags.BeginElement(PdfBlockLevelElementTag.TableRow);
        double x = sheets.Left;
        for (int at = 0; at < cells.Length; at++)
        {
            sheets.Tags.BeginElement(
                isHead ? PdfBlockLevelElementTag.TableHeaderCell : PdfBlockLevelElementTag.TableDataCell
            );
            double? right = columns[at].IsText ? null : x + widths[at] - (at == cells.Length - 1 ? 0 : Gap);
            text.Set(cells[at], x, sheets.Y + Above, XBrushes.Black, right);
            sheets.Tags.End();
            x += widths[at];
        }

        sheets.Tags.End();
        sheets.Tags.BeginArtifact();
        double line = sheets.Y + height;
        sheets.Graphics.DrawLine(
            new XPen(isHead ? XColors.DimGray : XColors.LightGray, isHead ? 1 : 0.5),
            sheets.Left,
            line,
            sheets.Left + widths.Sum(),
            line
        );
        sheets.Tags.End();
        sheets.Advance(height);
    }

    /// <summary>Numbers get what they need; texts share the rest by their length.</summary>
    private double[] Widths()
    {
        PdfText plain = Text(bold: false);
        PdfText heavy = Text(bold: true);
        double[] natural = new double[columns.Count];
        for (int at = 0; at < natural.Length; at++)
        {
            int column = at;
            natural[at] =
                Gap
                + Math.Max(
                    heavy.WidestWord(columns[at].Title),
                    rows.Select(row => plain.WidthOf(row[column])).DefaultIfEmpty(0).Max()
                );
        }

        double spare = sheets.Width - natural.Sum();
        if (spare >= 0)
        {
            // A table of two columns reads badly when pulled apart over the whole sheet.
            double each = Math.Min(spare / natural.Length, 30);
            return [.. natural.Select(width => width + each)];
        }

        int[] texted = [.. Enumerable.Range(0, natural.Length).Where(at => columns[at].IsText)];
        double forTexts = Math.Max(
            sheets.Width - Enumerable.Range(0, natural.Length).Except(texted).Sum(at => natural[at]),
            LeastText * texted.Length
        );
        // The root keeps a long column from starving a short one.
        double shares = texted.Sum(at => Math.Sqrt(natural[at]));
        foreach (int at in texted)
        {
            natural[at] = forTexts * Math.Sqrt(natural[at]) / shares;
        }

        return natural;
    }
}
