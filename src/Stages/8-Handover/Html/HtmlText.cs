using System.Globalization;
using System.Net;
using System.Text;

namespace Hillrow.Handover;

/// <summary>Writes HTML: text is escaped, numbers carry their value and key.</summary>
internal sealed class HtmlText(ReportTexts texts)
{
    private readonly StringBuilder page = new();

    public HtmlText Raw(string markup)
    {
        page.Append(markup);
        return this;
    }

    public HtmlText Line(string markup)
    {
        page.Append(markup).Append('\n');
        return this;
    }

    public static string Escape(string text) => WebUtility.HtmlEncode(text);

    public string Of(Sentence sentence) =>
        string.Concat(
            sentence.Pieces.Select(piece => piece.Figure is { } figure ? Figure(figure) : Escape(piece.Words))
        );

    /// <summary>A number as an HTML data element: unrounded value and finding key beside the rounded text.</summary>
    public string Figure(ReportFigure figure) =>
        double.IsFinite(figure.Value)
            ? $"<data value=\"{Exact(figure.Value)}\" data-finding=\"{Escape(figure.Key)}\">{Escape(texts.Number(figure.Value, figure.Form))}</data>"
            : "–";

    public static string Exact(double value) => value.ToString("R", CultureInfo.InvariantCulture);

    public override string ToString() => page.ToString();
}
