using System.CommandLine;
using System.Globalization;
using Hillrow.Estate;
using Hillrow.Numerics;

namespace Hillrow.App.Commands;

/// <summary>Arguments and options that several commands take, and how their texts are understood.</summary>
internal static class Given
{
    public static Argument<string> Estate() => new("ESTATE") { Description = "The estate's folder." };

    public static Option<string?> Text(string name, string help, string value) =>
        new(name) { Description = help, HelpName = value };

    /// <summary>An option that may be given several times, one value each.</summary>
    public static Option<string[]> Texts(string name, string help, string value) =>
        new(name)
        {
            Description = help,
            HelpName = value,
            Arity = ArgumentArity.OneOrMore,
            AllowMultipleArgumentsPerToken = false,
        };

    public static DateOnly? Day(string option, string? text) =>
        text is null ? null
        : DateOnly.TryParseExact(text, "yyyy-MM-dd", out DateOnly day) ? day
        : throw new InputProblemException(
            option,
            $"\"{text}\" is no day.",
            "Write it as YYYY-MM-DD, for instance 2026-03-14."
        );

    public static double? Number(string option, string? text) =>
        text is null ? null
        : double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double number)
        && double.IsFinite(number)
            ? number
        : throw new InputProblemException(
            option,
            $"\"{text}\" is no number.",
            "Write it with a decimal point, for instance 2.5."
        );

    public static T Choice<T>(string option, string text)
        where T : struct, Enum
    {
        string[] names = [.. Enum.GetNames<T>().Select(name => name.ToLowerInvariant())];
        if (names.Contains(text.ToLowerInvariant()))
        {
            return Enum.Parse<T>(text, ignoreCase: true);
        }

        string near = NearestWord.To(text, names) is { } word ? $"Did you mean {word}? " : "";
        throw new InputProblemException(
            option,
            $"does not know \"{text}\".",
            $"{near}There are: {string.Join(", ", names)}."
        );
    }

    public static Language? Language(string option, string? code) =>
        code is null
            ? null
            : LanguageCodes.Find(code.ToLowerInvariant())
                ?? throw new InputProblemException(
                    option,
                    $"does not know \"{code}\".",
                    $"There are: {string.Join(", ", LanguageCodes.All)}."
                );

    public static T OneOf<T>(string option, string word, IReadOnlyDictionary<string, T> choices) =>
        choices.TryGetValue(word.ToLowerInvariant(), out T? choice)
            ? choice
            : throw new InputProblemException(
                option,
                $"does not know \"{word}\".",
                $"There are: {string.Join(", ", choices.Keys)}."
            );

    /// <summary>"latitude,longitude" in degrees.</summary>
    public static (double Latitude, double Longitude) Place(string option, string text)
    {
        string[] parts = text.Split(',');
        return
            parts.Length == 2
            && double.TryParse(parts[0], NumberStyles.Float, CultureInfo.InvariantCulture, out double latitude)
            && double.TryParse(parts[1], NumberStyles.Float, CultureInfo.InvariantCulture, out double longitude)
            && Math.Abs(latitude) <= 84
            && Math.Abs(longitude) <= 180
            ? (latitude, longitude)
            : throw new InputProblemException(
                option,
                $"\"{text}\" is no place.",
                "Write latitude,longitude in degrees, south and west negative: -7.25,-75.30."
            );
    }
}

/// <summary>The options that say what grows in a block.</summary>
internal sealed class FactOptions
{
    private readonly Option<string?> crop = Given.Text("--crop", "What grows there.", "WORD");
    private readonly Option<string?> variety = Given.Text("--variety", "Its variety.", "WORD");
    private readonly Option<string?> planted = Given.Text("--planted", "Day of planting.", "YYYY-MM-DD");
    private readonly Option<string?> stumped = Given.Text(
        "--stumped",
        "Day of the last hard cutting-back.",
        "YYYY-MM-DD"
    );
    private readonly Option<string?> plants = Given.Text(
        "--plant-spacing",
        "From plant to plant in the row.",
        "METRES"
    );
    private readonly Option<string?> rows = Given.Text("--row-spacing", "From row to row.", "METRES");
    private readonly Option<string?> shade = Given.Text("--shade", "Ground under shade trees.", "PERCENT");

    public void AddTo(Command command)
    {
        foreach (Option<string?> option in new[] { crop, variety, planted, stumped, plants, rows, shade })
        {
            command.Options.Add(option);
        }
    }

    public BlockFacts Read(ParseResult parsed) =>
        new(
            parsed.GetValue(crop),
            parsed.GetValue(variety),
            Given.Day("--planted", parsed.GetValue(planted)),
            Given.Day("--stumped", parsed.GetValue(stumped)),
            Given.Number("--plant-spacing", parsed.GetValue(plants)),
            Given.Number("--row-spacing", parsed.GetValue(rows)),
            Given.Number("--shade", parsed.GetValue(shade))
        );
}
