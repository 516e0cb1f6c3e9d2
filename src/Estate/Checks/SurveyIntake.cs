using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>What became of a card that was just brought: its captures and, where the estate allows it, the field check.</summary>
/// <param name="Intake">Captures and notes.</param>
/// <param name="Check">Null when the estate has no blocks or no terrain yet, or no capture maps the ground.</param>
/// <param name="Page">The check's page; null without a check.</param>
/// <param name="WhyNoCheck">One line; null with a check.</param>
public sealed record SurveyIntake(IntakeResult Intake, FieldCheckResult? Check, string? Page, string? WhyNoCheck)
{
    /// <summary>Judges what was read on the way; reads nothing again.</summary>
    /// <exception cref="InputProblemException">The card cannot be read as one of this camera.</exception>
    public static SurveyIntake Of(
        EstateFolder estate,
        SurveyAdded added,
        IProgress<WorkProgress>? progress = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(estate);
        ArgumentNullException.ThrowIfNull(added);
        int limit = estate.Settings.Limits.Threads;
        int threads = limit > 0 ? limit : Environment.ProcessorCount;
        CameraProfile profile = CameraProfile.Load(Path.Combine(estate.Root, added.Camera ?? ""));
        // For a check to come; for one processor, so beside this one.
        Task keeping = Task.Run(() => SurveyLooks.Keep(added.Survey, profile, added.Readings), CancellationToken.None);
        try
        {
            (SurveyFolder survey, FieldCheckInput input) = FieldChecks.Gather(
                estate,
                added.Survey.Id,
                new SaidOfCaptures(),
                threads,
                progress,
                cancel,
                added.Readings
            );
            FieldCheckSettings settings = new() { Threads = threads };
            FieldCheckResult check = FieldCheck.Run(input, settings, progress, cancel);
            return new SurveyIntake(
                input.Intake,
                check,
                FieldChecks.Keep(estate, survey, input, check, settings),
                null
            );
        }
        catch (InputProblemException fault)
        {
            IntakeResult intake = IntakeStage.Run(
                IntakeInput.OfFolder(added.Survey.Captures, profile) with
                {
                    Readings = added.Readings,
                },
                IntakeSettings.Default with
                {
                    Threads = threads,
                },
                progress,
                cancel
            );
            return new SurveyIntake(intake, null, null, fault.Message);
        }
        finally
        {
            keeping.GetAwaiter().GetResult();
        }
    }
}
