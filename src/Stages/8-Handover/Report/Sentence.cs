using System.Globalization;
using System.Text.RegularExpressions;

namespace Hillrow.Handover;

/// <summary>A text in pieces: each is words, or a figure that a format may mark with its key.</summary>
internal sealed partial record Sentence(IReadOnlyList<Piece> Pieces)
{
    public static Sentence Of(string text) => new([new Piece(text, null)]);

    public static Sentence Of(ReportFigure figure) => new([new Piece("", figure)]);

    /// <summary>Puts sentences into a text's places {0}, {1} …</summary>
    public static Sentence Fill(string text, params IReadOnlyList<Sentence> parts)
    {
        List<Piece> pieces = [];
        int at = 0;
        foreach (Match place in Places().Matches(text))
        {
            Add(pieces, text[at..place.Index]);
            pieces.AddRange(parts[int.Parse(place.Groups["at"].Value, CultureInfo.InvariantCulture)].Pieces);
            at = place.Index + place.Length;
        }

        Add(pieces, text[at..]);
        return new Sentence(pieces);
    }

    public Sentence Then(string text) => new([.. Pieces, new Piece(text, null)]);

    public Sentence Then(Sentence other) => new([.. Pieces, .. other.Pieces]);

    /// <summary>As people read it.</summary>
    public string Text(ReportTexts texts) =>
        string.Concat(
            Pieces.Select(piece => piece.Figure is { } figure ? texts.Number(figure.Value, figure.Form) : piece.Words)
        );

    private static void Add(List<Piece> pieces, string words)
    {
        if (words.Length > 0)
        {
            pieces.Add(new Piece(words, null));
        }
    }

    [GeneratedRegex(@"\{(?<at>\d)\}", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant, 1000)]
    private static partial Regex Places();
}

/// <param name="Words">Empty where a figure stands.</param>
internal readonly record struct Piece(string Words, ReportFigure? Figure);
