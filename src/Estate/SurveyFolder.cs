using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>The folder of one dated visit: <c>surveys/ID</c>.</summary>
/// <param name="Id">Date plus a short name when a day has several: "2026-03-14", "2026-03-14-north".</param>
/// <param name="Root">Absolute path.</param>
public sealed record SurveyFolder(string Id, string Root)
{
    public DateOnly Date => DateOnly.ParseExact(Id[..10], "yyyy-MM-dd");

    /// <summary>Holds a folder, or a link to one, for each card of the visit.</summary>
    public string Captures => Path.Combine(Root, CapturesName);

    /// <summary>Holds the map that was brought instead of captures, with its heights.</summary>
    public string Maps => Path.Combine(Root, "maps");

    /// <summary>What makes the folder a survey; written when its captures or maps are whole.</summary>
    public string SettingsFile => Path.Combine(Root, SurveyToml.FileName);

    /// <summary>What a person decided of captures; there when something was.</summary>
    public string DecisionsFile => Path.Combine(Root, DecisionsToml.FileName);

    internal const string CapturesName = "captures";

    /// <summary>Checks a survey's id.</summary>
    /// <exception cref="InputProblemException">Not a date, or not a date and a short name.</exception>
    public static string Checked(string id) =>
        IsId(id)
            ? id
            : throw new InputProblemException(
                $"survey \"{id}\"",
                "is not a survey's id.",
                "Give the date as YYYY-MM-DD, with a short name behind it when a day has several: 2026-03-14-north."
            );

    public static bool IsId(string id) =>
        id.Length is >= 10 and <= 40
        && DateOnly.TryParseExact(id[..10], "yyyy-MM-dd", out _)
        && (
            id.Length == 10
            || (
                id[10] == '-'
                && id.Length > 11
                && id[11..].All(c => char.IsAsciiLetterLower(c) || char.IsAsciiDigit(c) || c == '-')
            )
        );
}
