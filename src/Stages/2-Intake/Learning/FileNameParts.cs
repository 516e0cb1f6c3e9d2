using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;
using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>The parts of file names that differ from file to file, each with the pattern that finds it.</summary>
internal static partial class FileNameParts
{
    public static IReadOnlyList<Channel> Of(IReadOnlyList<SampleFrame> frames)
    {
        string[] names = [.. frames.Select(frame => Path.GetFileName(frame.Path))];
        string[][] tokens = [.. names.Select(name => Split(Path.GetFileNameWithoutExtension(name)))];
        List<Channel> channels = [];
        int least = tokens.Min(one => one.Length);
        int most = tokens.Max(one => one.Length);
        int common = 0;
        while (common < least && tokens.All(one => Kind(one[common]) == Kind(tokens[0][common])))
        {
            common++;
        }

        for (int part = 0; part < common; part++)
        {
            Add(channels, names, Before(tokens[0], part) + "(" + Group(tokens[0][part]) + ")" + Behind(tokens, part));
        }

        // Names that end in words of several kinds ("red", "red-edge", "b5"): what follows the common part is one word.
        if (common < most)
        {
            int from = common;
            while (from > 0 && Kind(tokens[0][from - 1]) != "s")
            {
                from--;
            }

            Add(channels, names, Before(tokens[0], from) + "(.+)[.][^.]+$");
        }

        // What stands before the last separator is the trigger where the last word is the band.
        Add(channels, names, "^(.+)[-_ .][^-_ .]+[.][^.]+$");
        Add(channels, names, "^(.*[0-9])[A-Za-z]+[.][^.]+$");
        return channels;
    }

    private static string Before(string[] tokens, int part)
    {
        StringBuilder pattern = new("^");
        for (int at = 0; at < part; at++)
        {
            pattern.Append(Group(tokens[at]));
        }

        return pattern.ToString();
    }

    /// <summary>A greedy group must end where its token ends.</summary>
    private static string Behind(string[][] tokens, int part)
    {
        string[] next = [.. tokens.Select(one => part + 1 < one.Length ? Kind(one[part + 1]) : ".").Distinct()];
        return next is ["."] ? "[.][^.]+$" : "";
    }

    private static string Group(string token) =>
        Kind(token) switch
        {
            "d" => "[0-9]+",
            "w" => "[A-Za-z]+",
            _ => "[^A-Za-z0-9]+",
        };

    private static string Kind(string token) =>
        char.IsAsciiDigit(token[0]) ? "d"
        : char.IsAsciiLetter(token[0]) ? "w"
        : "s";

    private static string[] Split(string name) => [.. Tokens().Matches(name).Select(match => match.Value)];

    private static void Add(List<Channel> channels, string[] names, string pattern)
    {
        Regex finder = new(pattern, RegexOptions.NonBacktracking | RegexOptions.CultureInvariant);
        string?[] texts =
        [
            .. names.Select(name => finder.Match(name) is { Success: true } match ? match.Groups[1].Value : null),
        ];
        if (
            texts.Any(text => text is null)
            || texts.Distinct().Count() < 2
            || channels.Exists(other => other.Texts.SequenceEqual(texts))
        )
        {
            return;
        }

        channels.Add(
            new Channel
            {
                Place = string.Create(CultureInfo.InvariantCulture, $"file name {pattern}"),
                Words = ["file"],
                Rule = new ValueRule { FileName = pattern },
                Texts = texts,
                Numbers = [.. texts.Select(text => NumberText.Parse(text))],
                UnitText = names.All(name => name.Contains("nm", StringComparison.OrdinalIgnoreCase)) ? "nm" : "",
            }
        );
    }

    [GeneratedRegex("[0-9]+|[A-Za-z]+|[^0-9A-Za-z]+", RegexOptions.CultureInvariant)]
    private static partial Regex Tokens();
}
