using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>An input as found: its content's digest, and where the step finds it.</summary>
/// <param name="Declared">The declaration.</param>
/// <param name="Digest">SHA-256 of the content; "absent" for an optional output that there is none of.</param>
/// <param name="What">The path, step or table, for <c>why</c>; relative to the estate where it lies inside.</param>
/// <param name="Path">Absolute path, null for a table or what is absent.</param>
/// <param name="Outcome">Verdict of the earlier step, done for anything else.</param>
internal sealed record ResolvedInput(StepInput Declared, string Digest, string What, string? Path, StageOutcome Outcome)
{
    public const string Absent = "absent";
}

/// <summary>A required earlier step has no usable output, so this one cannot be done.</summary>
internal sealed class MissingUpstreamException(StepKey upstream, StepState? state, string reason)
    : Exception($"{upstream} has no usable output")
{
    public StepKey Upstream { get; } = upstream;

    /// <summary>Null when the earlier step has not been done yet.</summary>
    public StepState? State { get; } = state;

    public string Reason { get; } = reason;
}
