using System.Collections.Concurrent;
using System.Text.RegularExpressions;

namespace Hillrow.Imaging;

/// <summary>How numbers are written.</summary>
public enum NumberForm
{
    /// <summary>Decimals, fractions; for latitude and longitude also degrees, minutes, seconds, told apart by their look.</summary>
    Any,

    /// <summary>A decimal or a fraction only.</summary>
    Plain,

    /// <summary>Degrees, minutes, seconds: three values, or one text such as "11,30.752S".</summary>
    Sexagesimal,

    /// <summary>The base-2 logarithm of 1 / seconds, as EXIF's shutter speed value (tag 37377).</summary>
    ApexTime,
}

/// <summary>One place where a quantity may stand, and how to make sense of it. Exactly one source is set.</summary>
public sealed record ValueRule
{
    /// <summary>A property of the file.</summary>
    public PropertyKey? Property { get; init; }

    /// <summary>Pattern on the file's name without its folder; the first group, or the whole match, is the value.</summary>
    public string? FileName { get; init; }

    /// <summary>Pattern on the name of the folder the file lies in.</summary>
    public string? Folder { get; init; }

    /// <summary>The value itself, the same for all files.</summary>
    public string? Constant { get; init; }

    /// <summary>Which of several values, the first is 1; 0: all (lists), or the first.</summary>
    public int Item { get; init; }

    /// <summary>Splits one text into several values; empty: it is one value.</summary>
    public string Separator { get; init; } = "";

    /// <summary>Pattern on the text; its first group, or the whole match, is the value. Empty: the text itself.</summary>
    public string Pattern { get; init; } = "";

    public NumberForm Form { get; init; }

    /// <summary>Applied first: number · scale + offset, then the unit.</summary>
    public double Scale { get; init; } = 1;

    public double Offset { get; init; }

    /// <summary>Empty: the quantity's usual one.</summary>
    public string Unit { get; init; } = "";

    /// <summary>Where the hemisphere letter, or the code for below zero, stands.</summary>
    public PropertyKey? Letter { get; init; }

    /// <summary>Compiled without backtracking, so that no text can make it run long; kept, being slow to make.</summary>
    /// <exception cref="ArgumentException">Not a pattern.</exception>
    /// <exception cref="NotSupportedException">A pattern that needs backtracking.</exception>
    internal static Regex Compile(string pattern)
    {
        const int mostKept = 1_000;
        if (Patterns.TryGetValue(pattern, out Regex? kept))
        {
            return kept;
        }

        Regex made = new(pattern, RegexOptions.NonBacktracking | RegexOptions.CultureInvariant);
        if (Patterns.Count < mostKept)
        {
            Patterns.TryAdd(pattern, made);
        }

        return made;
    }

    private static ConcurrentDictionary<string, Regex> Patterns { get; } = new();
}

/// <summary>Where a time stands: a date-and-time text, or a date and a clock, or seconds since 1970.</summary>
public sealed record TimeRule
{
    /// <summary>Date and time in one text, EXIF ("2026:03:14 09:26:53") or ISO 8601.</summary>
    public PropertyKey? Text { get; init; }

    /// <summary>Date alone ("2026:03:14"), with <see cref="Clock"/>.</summary>
    public PropertyKey? Date { get; init; }

    /// <summary>Hours, minutes, seconds: three numbers or a text.</summary>
    public PropertyKey? Clock { get; init; }

    /// <summary>A number counted from 1970-01-01 00:00 UTC.</summary>
    public PropertyKey? Epoch { get; init; }

    /// <summary>Unit of <see cref="Epoch"/>: "s", "ms", "us", "ns".</summary>
    public string EpochUnit { get; init; } = "s";

    /// <summary>Digits after the seconds' point.</summary>
    public PropertyKey? SubSeconds { get; init; }

    /// <summary>Offset from UTC as text, "+02:00" or "Z".</summary>
    public PropertyKey? Zone { get; init; }

    /// <summary>Clock minus UTC when the file does not say; 0: the clock runs on UTC. Null: unknown.</summary>
    public double? OffsetMinutes { get; init; }
}
