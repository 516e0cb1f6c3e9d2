using System.Globalization;
using System.Reflection;
using System.Text.Json;
using Hillrow.Numerics;

namespace Hillrow.Handover;

/// <summary>The report's words and number forms in one language.</summary>
public sealed class ReportTexts
{
    private readonly Dictionary<string, string> texts;
    private readonly NumberFormatInfo numbers;

    private ReportTexts(string language, Dictionary<string, string> texts)
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

    public string Language { get; }

    public IReadOnlyCollection<string> Keys => texts.Keys;

    /// <exception cref="KeyNotFoundException">The key has no text: a fault of ours, found by a test.</exception>
    public string this[string key] =>
        texts.TryGetValue(key, out string? text)
            ? text
            : throw new KeyNotFoundException($"The report has no text \"{key}\" in language {Language}.");

    /// <exception cref="InputProblemException">No such language.</exception>
    public static ReportTexts Of(string language)
    {
        if (!Languages.Contains(language))
        {
            throw new InputProblemException(
                "estate.toml",
                $"language \"{language}\" is not one that the report speaks.",
                $"Choose one of {string.Join(", ", Languages)}."
            );
        }

        Assembly assembly = typeof(ReportTexts).Assembly;
        using Stream stream =
            assembly.GetManifestResourceStream($"Hillrow.Handover.Texts.{language}.json")
            ?? throw new InvalidOperationException($"The texts of language {language} are not in the program.");
        return new ReportTexts(language, JsonSerializer.Deserialize<Dictionary<string, string>>(stream)!);
    }

    /// <summary>Fills {0}, {1}, … of a text.</summary>
    public string Fill(string key, params object[] values) => string.Format(numbers, this[key], values);

    public string Date(DateOnly date) =>
        Fill("date.form", date.Day, this[FormattableString.Invariant($"month.{date.Month}")], date.Year);

    /// <summary>A figure's value as people read it: rounded, with its unit; a dash when it is not a number.</summary>
    public string Number(double value, FigureForm form)
    {
        if (!double.IsFinite(value))
        {
            return "–";
        }

        return form switch
        {
            FigureForm.Count => value.ToString("#,0", numbers),
            FigureForm.Share => (value * 100).ToString(Math.Abs(value) < 0.1 ? "0.0" : "0", numbers) + " %",
            FigureForm.Metres => value.ToString("0.00", numbers) + " m",
            FigureForm.GridMetres => value.ToString("0", numbers),
            FigureForm.WholeMetres => value.ToString("#,0", numbers) + " m",
            FigureForm.SquareMetres => value.ToString("0.0", numbers) + " m²",
            FigureForm.Hectares => value.ToString("0.00", numbers) + " ha",
            FigureForm.Degrees => value.ToString("0", numbers) + "°",
            _ => value.ToString("0.000", numbers),
        };
    }
}
