using Hillrow.Estate;

namespace Hillrow.App;

/// <summary>Brings an estate up to date while telling how it goes; what <c>run</c> and <c>demo</c> share.</summary>
internal static class EstateRun
{
    public static RunSummary Do(EstateFolder estate, CommandOutput speech, CancellationToken cancellation)
    {
        Language language = estate.Settings.Language;
        return speech.OnTerminal
            ? RunBar.During(speech.Error, language, progress => Run(estate, progress, cancellation))
            : Run(estate, new RunLines(speech.Error, language, TimeProvider.System), cancellation);
    }

    public static RunEngine Engine(EstateFolder estate, IRunProgress progress)
    {
        int threads = estate.Settings.Limits.Threads;
        return new RunEngine(
            estate,
            ProgramIdentity.Current(),
            threads > 0 ? threads : Environment.ProcessorCount,
            progress
        );
    }

    /// <summary>
    /// Done and degraded results are results. What was refused or is not at hand lies in what was given; what failed,
    /// in us.
    /// </summary>
    public static int ExitCodeOf(RunSummary summary) =>
        summary.Cancelled ? ExitCodes.Stopped
        : summary.Count(StepEnd.Failed) > 0 ? ExitCodes.OurFault
        : summary.Count(StepEnd.Refused) + summary.Count(StepEnd.Blocked) > 0 ? ExitCodes.BadInput
        : ExitCodes.Done;

    /// <summary>One step's end, as --json shows it.</summary>
    public static object Shape(StepReport step) =>
        new
        {
            step = step.Key.Step,
            subject = step.Key.Subject,
            step.End,
            step.Reasons,
            seconds = Math.Round(step.Took.TotalSeconds, 2),
            processorSeconds = Math.Round(step.Worked.TotalSeconds, 2),
            peakMegabytes = step.PeakBytes >> 20,
        };

    private static RunSummary Run(EstateFolder estate, IRunProgress progress, CancellationToken cancellation) =>
        Engine(estate, progress).Run(RunOrder.Of(estate), cancellation);
}
