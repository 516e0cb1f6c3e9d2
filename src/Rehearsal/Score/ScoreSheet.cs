namespace Hillrow.Rehearsal;

/// <summary>Figures by name; a figure that could not be had is null, with the reason.</summary>
public sealed class ScoreSheet
{
    private readonly SortedDictionary<string, double?> figures = new(StringComparer.Ordinal);
    private readonly SortedDictionary<string, string> missing = new(StringComparer.Ordinal);

    public IReadOnlyDictionary<string, double?> Figures => figures;

    /// <summary>Why a figure is null.</summary>
    public IReadOnlyDictionary<string, string> Missing => missing;

    /// <summary>A value that is not finite counts as missing.</summary>
    public void Add(string name, double value, string whenNone = "nothing to compare")
    {
        if (double.IsFinite(value))
        {
            figures[name] = value;
        }
        else
        {
            Miss(name, whenNone);
        }
    }

    public void Miss(string name, string reason)
    {
        figures[name] = null;
        missing[name] = reason;
    }

    public void MissAll(IEnumerable<string> names, string reason)
    {
        ArgumentNullException.ThrowIfNull(names);
        foreach (string name in names)
        {
            Miss(name, reason);
        }
    }
}

/// <summary>Scores of every survey, and of the estate over all of them.</summary>
public sealed record RehearsalScore(IReadOnlyDictionary<string, ScoreSheet> Surveys, ScoreSheet Estate);
