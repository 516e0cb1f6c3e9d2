namespace Hillrow.Estate;

/// <summary>How a step came out of a run.</summary>
public enum StepEnd
{
    /// <summary>Nothing it depends on had changed.</summary>
    UpToDate,
    Done,
    Degraded,
    Refused,
    Failed,

    /// <summary>Could not be tried: something it needs is not at hand. What was current stays as it was.</summary>
    Blocked,
}

/// <param name="Key">The step.</param>
/// <param name="Doing">Its words.</param>
/// <param name="End">How it came out.</param>
/// <param name="Reasons">Why, one line each; empty when done or up to date without remark.</param>
/// <param name="Took">Wall-clock time.</param>
public sealed record StepReport(StepKey Key, Words Doing, StepEnd End, IReadOnlyList<string> Reasons, TimeSpan Took)
{
    /// <summary>Processor time of all threads of the process meanwhile.</summary>
    public TimeSpan Worked { get; init; }

    /// <summary>Largest memory of the process so far, bytes; 0 where the system does not tell.</summary>
    public long PeakBytes { get; init; }
}

/// <summary>What a run did.</summary>
/// <param name="Steps">In the run's order, as far as it came.</param>
/// <param name="Cancelled">The user stopped it; the next run goes on from the last finished step.</param>
public sealed record RunSummary(IReadOnlyList<StepReport> Steps, bool Cancelled)
{
    /// <summary>Every step is current and usable or was refused for a reason told.</summary>
    public bool Complete => !Cancelled && Steps.All(step => step.End is not (StepEnd.Failed or StepEnd.Blocked));

    public int Count(StepEnd end) => Steps.Count(step => step.End == end);
}

/// <summary>What a step would need now.</summary>
public enum StepNeed
{
    /// <summary>On record, and nothing has changed.</summary>
    Nothing,

    /// <summary>Never done, or its files are gone.</summary>
    Missing,

    /// <summary>Done once, but an input, a setting or the program has changed since.</summary>
    Stale,

    /// <summary>An earlier step must be done first.</summary>
    Waits,

    /// <summary>An input from outside is not at hand.</summary>
    Blocked,
}

/// <param name="Step">The step.</param>
/// <param name="Need">What it needs.</param>
/// <param name="Because">Why, one line; empty when it needs nothing.</param>
/// <param name="Record">What is on record, if anything; its state still tells how the last work came out.</param>
public sealed record StepPlan(RunStep Step, StepNeed Need, string Because, StepRecord? Record);
