namespace Hillrow.Numerics;

/// <summary>Whether a result may be used: done, degraded (may be used, reasons told) or refused (may not).</summary>
public enum StageVerdict
{
    Done,
    Degraded,
    Refused,
}

/// <summary>The verdict on a stage's result, with every reason; it travels with the result into the report.</summary>
/// <param name="Verdict">The worst of all that was found.</param>
/// <param name="Reasons">One line each: what, where, how to mend; empty when done.</param>
public sealed record StageOutcome(StageVerdict Verdict, IReadOnlyList<string> Reasons)
{
    public static StageOutcome Done { get; } = new(StageVerdict.Done, []);

    public bool Usable => Verdict != StageVerdict.Refused;

    public static StageOutcome Degraded(params string[] reasons) => new(StageVerdict.Degraded, reasons);

    public static StageOutcome Refused(params string[] reasons) => new(StageVerdict.Refused, reasons);

    /// <summary>Both together: the worse verdict, all reasons.</summary>
    public StageOutcome With(StageOutcome other) =>
        new(Verdict > other.Verdict ? Verdict : other.Verdict, [.. Reasons, .. other.Reasons]);
}
