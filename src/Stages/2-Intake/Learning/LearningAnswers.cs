using System.Globalization;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>Answers given on the command line, "key=value" each.</summary>
public sealed class LearningAnswers
{
    private readonly Dictionary<string, string> given = new(StringComparer.OrdinalIgnoreCase);
    private readonly HashSet<string> used = new(StringComparer.OrdinalIgnoreCase);

    public static LearningAnswers None { get; } = new();

    /// <exception cref="InputProblemException">One is not of the form key=value.</exception>
    public static LearningAnswers Parse(IEnumerable<string> texts)
    {
        ArgumentNullException.ThrowIfNull(texts);
        LearningAnswers answers = new();
        foreach (string text in texts)
        {
            int cut = text.IndexOf('=', StringComparison.Ordinal);
            if (cut <= 0 || cut == text.Length - 1)
            {
                throw new InputProblemException(
                    $"--answer {text}",
                    "is not of the form key=value.",
                    "Write for instance --answer exposure.unit=ms."
                );
            }

            answers.given[text[..cut].Trim()] = text[(cut + 1)..].Trim();
        }

        return answers;
    }

    public string? Find(string key)
    {
        if (!given.TryGetValue(key, out string? value))
        {
            return null;
        }

        used.Add(key);
        return value;
    }

    /// <exception cref="InputProblemException">The answer is no number.</exception>
    public double? Number(string key) =>
        Find(key) is not { } text ? null
        : double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double number)
        && double.IsFinite(number)
            ? number
        : throw new InputProblemException($"--answer {key}={text}", "is no number.", "Write it with a decimal point.");

    /// <summary>True when the user has said something about it.</summary>
    public bool Settles(string about) =>
        given.Keys.Any(key =>
            key.Equals(about, StringComparison.OrdinalIgnoreCase)
            || key.StartsWith(about + ".", StringComparison.OrdinalIgnoreCase)
        );

    public bool Refuses(string about) => Find(about)?.Equals("none", StringComparison.OrdinalIgnoreCase) == true;

    /// <summary>Keys that nothing asked for: misspelt, or of no meaning here.</summary>
    public IEnumerable<string> Unused => given.Keys.Where(key => !used.Contains(key)).Order(StringComparer.Ordinal);
}
