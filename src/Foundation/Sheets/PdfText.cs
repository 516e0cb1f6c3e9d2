using PdfSharp.Drawing;

namespace Hillrow.Sheets;

/// <summary>Breaks a text into lines of a width and sets them.</summary>
public sealed class PdfText(XGraphics graphics, XFont font, double leading = 1.32)
{
    /// <summary>The face has no arrow; every other letter of the three languages and of the methods it has.</summary>
    private static readonly (string Wanted, string Had)[] Replacements = [("→", "–"), ("✓", "+"), ("\u202f", " ")];

    public double LineHeight => font.Size * leading;

    public double WidthOf(string text) => graphics.MeasureString(Clean(text), font).Width;

    /// <summary>Lines not wider than the width; a word that alone is wider is broken.</summary>
    public IReadOnlyList<string> Lines(string text, double width)
    {
        List<string> lines = [];
        string line = "";
        foreach (string word in Clean(text).Split(' ', StringSplitOptions.RemoveEmptyEntries).SelectMany(Parts))
        {
            string longer = line.Length == 0 ? word : $"{line} {word}";
            if (line.Length == 0 || WidthOf(longer) <= width)
            {
                line = longer;
                continue;
            }

            lines.Add(line);
            line = word;
        }

        lines.Add(line);
        return lines;

        IEnumerable<string> Parts(string word)
        {
            while (word.Length > 1 && WidthOf(word) > width)
            {
                int fits = Enumerable
                    .Range(1, word.Length - 1)
                    .TakeWhile(n => WidthOf(word[..n]) <= width)
                    .LastOrDefault(1);
                yield return word[..fits];
                word = word[fits..];
            }

            yield return word;
        }
    }

    public double WidestWord(string text) =>
        Clean(text).Split(' ', StringSplitOptions.RemoveEmptyEntries).Select(WidthOf).DefaultIfEmpty(0).Max();

    /// <summary>Sets lines below each other.</summary>
    /// <returns>Their height.</returns>
    public double Set(IReadOnlyList<string> lines, double x, double top, XBrush brush, double? rightEdge = null)
    {
        double baseline = top + (font.Size * 1.02);
        foreach (string line in lines)
        {
            if (rightEdge is { } right)
            {
                graphics.DrawString(line, font, brush, new XPoint(right, baseline), XStringFormats.BaseLineRight);
            }
            else
            {
                graphics.DrawString(line, font, brush, x, baseline);
            }

            baseline += LineHeight;
        }

        return lines.Count * LineHeight;
    }

    private static string Clean(string text)
    {
        foreach ((string wanted, string had) in Replacements)
        {
            text = text.Replace(wanted, had, StringComparison.Ordinal);
        }

        return text.ReplaceLineEndings(" ");
    }
}
