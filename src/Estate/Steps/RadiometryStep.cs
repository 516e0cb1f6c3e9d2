using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Radiometry;

namespace Hillrow.Estate;

/// <summary>Panel and irradiance → what turns counts into reflectance. Out: calibration.json.</summary>
internal static class RadiometryStep
{
    public const string Name = "radiometry";
    public const string FileName = "calibration.json";

    private static readonly Words Doing = new(
        "making light comparable",
        "haciendo comparable la luz",
        "tornando a luz comparável"
    );

    public static RunStep Of(SurveySubject subject)
    {
        RadiometrySettings settings = RadiometrySettings.Default;
        return new RunStep(
            subject.Key(Name),
            Doing,
            "Counts less black level, over exposure, gain and falloff; level from the panel's certificate, followed by the irradiance sensor; a standard error for every band and frame",
            "Smith & Milton 1999, doi 10.1080/014311699211994; docs/stages/3-radiometry.md",
            [subject.OutputOf(IntakeStep.Name), subject.Card, subject.Camera],
            StepSettings.TextOf(settings with { Threads = 1 }),
            context => Work(context, settings)
        )
        {
            Weight = 5,
        };
    }

    public static Calibration Read(StepContext context) =>
        StageJson.Read<Calibration>(Path.Combine(context.PathOf(Name), FileName));

    /// <summary>The survey's frames as reflectance by a calibration, for a step that declares intake, card and camera as inputs.</summary>
    public static ReflectanceFrames Frames(
        StepContext context,
        CameraProfile profile,
        IntakeResult intake,
        Calibration calibration
    ) =>
        new(
            calibration,
            profile,
            SurveySubject.CardFolder(context),
            [.. intake.Captures.Select(entry => entry.Capture)],
            SurveySubject.ProfileFolder(context)
        );

    private static StepResult Work(StepContext context, RadiometrySettings settings)
    {
        IntakeResult intake = IntakeStep.Read(context);
        RadiometryResult result = RadiometryStage.Run(
            new RadiometryInput(
                SurveySubject.Profile(context),
                SurveySubject.CardFolder(context),
                [.. intake.Captures.Select(entry => entry.Capture)],
                [.. intake.OfRole(CaptureRole.Panel).Select(capture => capture.Id)],
                SurveySubject.ProfileFolder(context)
            ),
            settings with
            {
                Threads = context.Threads,
            },
            context.Progress(),
            context.Cancellation
        );
        if (result.Outcome.Usable)
        {
            StageJson.Write(context.NewFile(FileName), result.Calibration);
        }

        return new StepResult(result.Outcome)
        {
            Warnings =
            [
                .. result
                    .Calibration.PanelReadings.Where(reading => !reading.Accepted)
                    .Select(reading => new StepWarning(
                        "panel-not-used",
                        $"capture {reading.CaptureId}, band {reading.Band}",
                        reading.Reason.TrimEnd('.'),
                        "Retake the panel picture on the next flight: flat, in full sun, nothing near it."
                    )),
            ],
            Figures =
            [
                .. result.Calibration.Bands.SelectMany(band =>
                    new[]
                    {
                        new StepFigure($"factor.{band.Band}", band.Factor),
                        new StepFigure($"relativeSigma.{band.Band}", band.RelativeSigma),
                    }
                ),
                new StepFigure("framesCalibrated", result.Calibration.Frames.Count),
            ],
        };
    }
}
