using System.Globalization;
using System.Reflection;
using System.Text.Json;

namespace Hillrow.Intake;

/// <summary>The field check's words and number forms in one language.</summary>
public sealed class CheckTexts
{
    private readonly Dictionary<string, string> texts;
    private readonly NumberFormatInfo numbers;

    private CheckTexts(string language, Dictionary<string, string> texts)
    {
        Language = language;
        this.texts = texts;
        numbers = new NumberFormatInfo
        {
            NumberDecimalSeparator = this["number.decimal"],
            NumberGroupSeparator = this["number.group"],
        };
    }

    public static IReadOnlyList<string> Languages { get; } = ["en", "es", "pt"];

    public static CheckTexts English { get; } = Of("en");

    public string Language { get; }

    public IReadOnlyCollection<string> Keys => texts.Keys;

    /// <exception cref="KeyNotFoundException">The key has no text: a fault of ours, found by a test.</exception>
    public string this[string key] =>
        texts.TryGetValue(key, out string? text)
            ? text
            : throw new KeyNotFoundException($"The field check has no text \"{key}\" in language {Language}.");

    /// <param name="language">ISO 639-1, one of <see cref="Languages"/>.</param>
    /// <exception cref="ArgumentException">No such language.</exception>
    public static CheckTexts Of(string language)
    {
        using Stream stream =
            Assembly.GetExecutingAssembly().GetManifestResourceStream($"Hillrow.Intake.Texts.{language}.json")
            ?? throw new ArgumentException($"The field check does not speak \"{language}\".", nameof(language));
        return new CheckTexts(language, JsonSerializer.Deserialize<Dictionary<string, string>>(stream)!);
    }

    /// <summary>Fills {0}, {1}, … of a text.</summary>
    public string Fill(string key, params object[] values) => string.Format(numbers, this[key], values);

    public string Fill(CheckSentence said) => Fill(said.Key, [.. said.Values]);

    /// <summary>What is wrong with frames, in words.</summary>
    public string Of(FrameFault fault) => this[$"fault.{fault}"];
}

/// <summary>Something the check says, before it is said in a language.</summary>
/// <param name="Key">Of the text.</param>
/// <param name="Values">Numbers and names that fill it.</param>
public sealed record CheckSentence(string Key, IReadOnlyList<object> Values)
{
    public static CheckSentence Of(string key, params object[] values) => new(key, values);
}
