using System.Text.Json.Serialization;

namespace Hillrow.Intake;

/// <summary>What a person wants of a capture, whatever was found.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<DecisionKind>))]
public enum DecisionKind
{
    /// <summary>It maps the ground, although it was found blurred, misplaced, or tipped. A marked panel stays the panel.</summary>
    Keep,

    /// <summary>It does not enter the map, although nothing was found.</summary>
    LeaveOut,
}

/// <summary>A person's word on one capture; it stands above what intake and field check find.</summary>
/// <param name="Capture">Name of any of its files, relative to the survey's captures or alone, or its id.</param>
/// <param name="Kind">What is wanted.</param>
/// <param name="Because">The person's reason, kept with the survey; may be empty.</param>
public sealed record CaptureDecision(string Capture, DecisionKind Kind, string Because);

/// <summary>A capture that was found unfit for the map, or that a person decided on.</summary>
/// <param name="Capture">Id.</param>
/// <param name="File">Its first frame's, relative to the survey's captures.</param>
/// <param name="Faults">What was found; empty when a person alone left it out.</param>
/// <param name="Reason">What was found, or why it was set apart, one line; empty when nothing.</param>
/// <param name="LeftOut">Whether it stays out of matching and mapping.</param>
/// <param name="Decision">The person's, if any.</param>
public sealed record CaptureExclusion(
    string Capture,
    string File,
    IReadOnlyList<FrameFault> Faults,
    string Reason,
    bool LeftOut,
    CaptureDecision? Decision
)
{
    public override string ToString()
    {
        string found = Reason.Length == 0 ? "nothing was found" : Reason.TrimEnd('.');
        string because = Decision is { Because.Length: > 0 } said ? $": {said.Because.TrimEnd('.')}" : "";
        return Decision?.Kind switch
        {
            DecisionKind.Keep => $"kept by hand{because} ({found}).",
            DecisionKind.LeaveOut => $"left out by hand{because} ({found}).",
            _ => $"{found}.",
        };
    }
}
