using Hillrow.Numerics;
using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>Names a step of a run: what is done, and for which survey.</summary>
/// <param name="Step">Lower-case word of the run order, for instance "orthomosaic".</param>
/// <param name="Subject">A survey's id, or <see cref="WholeEstate"/>.</param>
public readonly record struct StepKey(string Step, string Subject)
{
    public const string WholeEstate = "estate";

    public override string ToString() => $"{Subject}/{Step}";
}

/// <summary>
/// One step of a run, declared: what it reads, what governs it, and the work itself. The engine decides from the
/// declaration alone whether the work is to be done, so everything that can change the result must be in it.
/// </summary>
/// <param name="Key">Unique in the run order.</param>
/// <param name="Doing">The user's words while it runs: "placing captures".</param>
/// <param name="Method">How the result comes about, in one line, for <c>why</c>.</param>
/// <param name="Source">Where the method is published (author, year, DOI), or "own".</param>
/// <param name="Inputs">Everything it reads. Names are unique within the step.</param>
/// <param name="Settings">Canonical text of its settings: <see cref="StepSettings.TextOf"/>.</param>
/// <param name="Work">
/// Does the work: writes files into <see cref="StepContext.OutputFolder"/> and nowhere else, and says what came of it.
/// Same inputs and settings must give the same bytes, whatever <see cref="StepContext.Threads"/> is.
/// </param>
public sealed record RunStep(
    StepKey Key,
    Words Doing,
    string Method,
    string Source,
    IReadOnlyList<StepInput> Inputs,
    string Settings,
    Func<StepContext, StepResult> Work
)
{
    /// <summary>Expected share of the whole run's time, in any unit; only the time left rests on it.</summary>
    public double Weight { get; init; } = 1;

    /// <summary>
    /// Folder below the estate that holds the step's outputs, each in a folder named by its fingerprint:
    /// <c>surveys/ID/STEP</c>, or <c>handover/STEP</c> for the whole estate.
    /// </summary>
    public string Place { get; init; } =
        Key.Subject == StepKey.WholeEstate ? $"handover/{Key.Step}" : $"surveys/{Key.Subject}/{Key.Step}";
}

/// <summary>What came of a step's work.</summary>
/// <param name="Outcome">Done, degraded or refused, with the reasons. A refused step's files are thrown away.</param>
public sealed record StepResult(StageOutcome Outcome)
{
    public static StepResult Done { get; } = new(StageOutcome.Done);

    /// <summary>Kept with the survey; they appear in the report.</summary>
    public IReadOnlyList<StepWarning> Warnings { get; init; } = [];

    /// <summary>Counts and measures worth telling (name with unit, value); never a duration, which would differ.</summary>
    public IReadOnlyList<StepFigure> Figures { get; init; } = [];

    /// <summary>
    /// Rows that become current together with the files, in the engine's one transaction. It must first remove the
    /// rows that an earlier run of this step left.
    /// </summary>
    public Action<SqliteConnection>? CommitRows { get; init; }
}

/// <param name="Name">Lower camel case, unit at the end: "capturesPlaced", "reprojectionRmsPixels".</param>
/// <param name="Value">Finite, or NaN when it could not be had.</param>
public sealed record StepFigure(string Name, double Value);

/// <summary>Something a person should know about a result, with what to do.</summary>
/// <param name="Code">Stable lower-case words: "panel-saturated".</param>
/// <param name="About">The capture, block, file or plant concerned.</param>
/// <param name="Message">What is wrong, with the value found.</param>
/// <param name="Remedy">What can be done.</param>
public sealed record StepWarning(string Code, string About, string Message, string Remedy);
