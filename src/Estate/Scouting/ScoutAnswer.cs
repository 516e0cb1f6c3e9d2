using Hillrow.Earth;
using Hillrow.Findings;

namespace Hillrow.Estate;

/// <summary>What a scout found at a plant.</summary>
/// <param name="Survey">Whose walk list sent the scout there.</param>
/// <param name="Plant">Ledger number.</param>
/// <param name="State">How the plant stands; null when there is none any more, or it was not found.</param>
/// <param name="Cause">One of <see cref="ScoutAnswerWords.Causes"/>.</param>
/// <param name="Sample">What is written on the bag, empty when none was taken.</param>
/// <param name="Who">Name or initials.</param>
/// <param name="Answered">When.</param>
/// <param name="Place">Where the scout stood, when the phone knew; else null.</param>
/// <param name="Note">Anything else.</param>
public sealed record ScoutAnswer(
    string Survey,
    long Plant,
    SeenState? State,
    string Cause,
    string Sample,
    string Who,
    DateTimeOffset Answered,
    GeographicPoint? Place,
    string Note
);

/// <summary>The words of answers, in the files and in the three languages that people fill them in.</summary>
public static class ScoutAnswerWords
{
    public const string Gone = "gone";

    public static IReadOnlyList<string> Causes { get; } =
    ["unknown", "rootpest", "rootrot", "stemborer", "leafdisease", "hunger", "drought", "picking", "other"];

    private static readonly Dictionary<string, string> States = new(StringComparer.OrdinalIgnoreCase)
    {
        ["sana"] = "healthy",
        ["sano"] = "healthy",
        ["sã"] = "healthy",
        ["saudável"] = "healthy",
        ["sadia"] = "healthy",
        ["leve"] = "light",
        ["moderada"] = "moderate",
        ["moderado"] = "moderate",
        ["severa"] = "severe",
        ["severo"] = "severe",
        ["grave"] = "severe",
        ["muerta"] = "dead",
        ["muerto"] = "dead",
        ["morta"] = "dead",
        ["no está"] = Gone,
        ["não está"] = Gone,
    };

    /// <summary>"healthy", "light", "moderate", "severe", "dead" or "gone"; null when the word is none of them.</summary>
    internal static string? StateOf(string word)
    {
        string plain = States.GetValueOrDefault(word.Trim(), word.Trim().ToLowerInvariant());
        return plain == Gone || Enum.GetNames<SeenState>().Contains(plain, StringComparer.OrdinalIgnoreCase)
            ? plain
            : null;
    }
}
