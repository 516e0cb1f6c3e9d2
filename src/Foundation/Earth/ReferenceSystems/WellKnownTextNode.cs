using System.Globalization;
using System.Text;
using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>One keyword of a well-known text with its texts, numbers and inner keywords; both bracket kinds.</summary>
internal sealed class WellKnownTextNode
{
    private const int DeepestNesting = 32;
    private const int LongestText = 200_000;

    private readonly List<WellKnownTextNode> inner = [];

    private WellKnownTextNode(string keyword) => Keyword = keyword;

    public string Keyword { get; }

    public List<string> Texts { get; } = [];

    public List<double> Numbers { get; } = [];

    public IReadOnlyList<WellKnownTextNode> Inner => inner;

    public string Name => Texts.Count > 0 ? Texts[0] : "";

    /// <exception cref="InputProblemException">Not well-known text; the message says at which character.</exception>
    public static WellKnownTextNode Parse(string text, string where)
    {
        if (text.Length > LongestText)
        {
            throw Problem(where, $"the coordinate system's text has {text.Length} characters.");
        }

        int at = 0;
        WellKnownTextNode root = Node(text, ref at, where, 0);
        SkipSpace(text, ref at);
        return at == text.TrimEnd('\0', ' ', '\r', '\n', '\t').Length || at >= text.Length
            ? root
            : throw Problem(where, $"the coordinate system's text goes on after its end, at character {at + 1}.");
    }

    public WellKnownTextNode? Child(params ReadOnlySpan<string> keywords)
    {
        foreach (WellKnownTextNode node in inner)
        {
            foreach (string keyword in keywords)
            {
                if (node.Keyword == keyword)
                {
                    return node;
                }
            }
        }

        return null;
    }

    /// <summary>The EPSG code of an AUTHORITY or ID, or 0.</summary>
    public int EpsgCode()
    {
        WellKnownTextNode? identity = Child("AUTHORITY", "ID");
        if (identity is null || !identity.Name.Equals("EPSG", StringComparison.OrdinalIgnoreCase))
        {
            return 0;
        }

        double code =
            identity.Numbers.Count > 0 ? identity.Numbers[0]
            : identity.Texts.Count > 1
            && double.TryParse(identity.Texts[1], NumberStyles.Float, CultureInfo.InvariantCulture, out double read)
                ? read
            : 0;
        return code is >= 1 and <= 1e6 ? (int)code : 0;
    }

    private static WellKnownTextNode Node(string text, ref int at, string where, int depth)
    {
        if (depth > DeepestNesting)
        {
            throw Problem(where, "the coordinate system's text is nested too deep.");
        }

        SkipSpace(text, ref at);
        int start = at;
        while (at < text.Length && (char.IsAsciiLetterOrDigit(text[at]) || text[at] == '_'))
        {
            at++;
        }

        WellKnownTextNode node = new(text[start..at].ToUpperInvariant());
        SkipSpace(text, ref at);
        if (node.Keyword.Length == 0 || at >= text.Length || text[at] is not ('[' or '('))
        {
            // A bare word inside a list, such as an axis direction.
            return depth > 0 && node.Keyword.Length > 0
                ? node
                : throw Problem(where, $"the coordinate system's text is not well-known text (character {at + 1}).");
        }

        char close = text[at] == '[' ? ']' : ')';
        at++;
        while (true)
        {
            SkipSpace(text, ref at);
            if (at >= text.Length)
            {
                throw Problem(where, "the coordinate system's text is cut short.");
            }

            char next = text[at];
            if (next == '"')
            {
                node.Texts.Add(Quoted(text, ref at, where));
            }
            else if (char.IsAsciiDigit(next) || next is '-' or '+' or '.')
            {
                node.Numbers.Add(Number(text, ref at, where));
            }
            else if (next != close)
            {
                node.inner.Add(Node(text, ref at, where, depth + 1));
            }

            SkipSpace(text, ref at);
            if (at < text.Length && text[at] == ',')
            {
                at++;
            }
            else if (at < text.Length && text[at] == close)
            {
                at++;
                return node;
            }
            else
            {
                throw Problem(
                    where,
                    $"the coordinate system's text breaks off or breaks its form at character {at + 1}."
                );
            }
        }
    }

    private static string Quoted(string text, ref int at, string where)
    {
        StringBuilder words = new();
        at++;
        while (at < text.Length)
        {
            if (text[at] == '"')
            {
                at++;
                if (at >= text.Length || text[at] != '"')
                {
                    return words.ToString();
                }
            }

            words.Append(text[at]);
            at++;
        }

        throw Problem(where, "the coordinate system's text has a quotation without an end.");
    }

    private static double Number(string text, ref int at, string where)
    {
        int start = at;
        while (at < text.Length && (char.IsAsciiDigit(text[at]) || text[at] is '-' or '+' or '.' or 'e' or 'E'))
        {
            at++;
        }

        return
            double.TryParse(
                text.AsSpan(start, at - start),
                NumberStyles.Float,
                CultureInfo.InvariantCulture,
                out double number
            ) && double.IsFinite(number)
            ? number
            : throw Problem(where, $"\"{text[start..at]}\" in the coordinate system's text is no number.");
    }

    private static void SkipSpace(string text, ref int at)
    {
        while (at < text.Length && (char.IsWhiteSpace(text[at]) || text[at] is '\uFEFF' or '\0'))
        {
            at++;
        }
    }

    private static InputProblemException Problem(string where, string problem) =>
        new(
            where,
            ReferenceSystem.Shown(problem),
            "Save the data again in WGS 84 latitude/longitude (EPSG:4326) or a WGS 84 / UTM zone."
        );
}
