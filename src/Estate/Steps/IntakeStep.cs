using Hillrow.Intake;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Card folders → captures with their roles. Out: captures.json.</summary>
internal static class IntakeStep
{
    public const string Name = "intake";
    private const string FileName = "captures.json";

    private static readonly Words Doing = new("reading the card", "leyendo la tarjeta", "lendo o cartão");

    public static RunStep Of(SurveySubject subject)
    {
        IntakeSettings settings = IntakeSettings.Default;
        return new RunStep(
            subject.Key(Name),
            Doing,
            "Metadata of every picture by the camera profile's map; frames of one trigger grouped into captures; clock, heights, sorties and roles settled",
            "own",
            [subject.Card, subject.Camera],
            StepSettings.TextOf(settings with { Threads = 1 }),
            context => Work(context, settings)
        )
        {
            Weight = 5,
        };
    }

    /// <summary>What the step found, for the steps that declare it as input.</summary>
    public static IntakeResult Read(StepContext context) =>
        StageJson.Read<IntakeResult>(Path.Combine(context.PathOf(Name), FileName));

    private static StepResult Work(StepContext context, IntakeSettings settings)
    {
        IntakeResult result = IntakeStage.Run(
            IntakeInput.OfFolder(SurveySubject.CardFolder(context), SurveySubject.Profile(context)),
            settings with
            {
                Threads = context.Threads,
            },
            context.Progress(),
            context.Cancellation
        );
        if (result.Outcome.Usable)
        {
            StageJson.Write(context.NewFile(FileName), result);
        }

        return new StepResult(result.Outcome)
        {
            Warnings = [.. result.Notes.Select(WarningOf)],
            Figures =
            [
                new StepFigure("pictureFiles", result.Counts.PictureFiles),
                new StepFigure("framesUsed", result.Counts.FramesUsed),
                new StepFigure("copies", result.Counts.Copies),
                new StepFigure("excluded", result.Counts.Excluded),
                new StepFigure("captures", result.Captures.Count),
                new StepFigure("surveyCaptures", result.OfRole(CaptureRole.Survey).Count),
                new StepFigure("panelCaptures", result.OfRole(CaptureRole.Panel).Count),
                new StepFigure("sorties", result.Sorties.Count),
            ],
        };
    }

    private static StepWarning WarningOf(IntakeNote note) =>
        new($"intake-{note.Weight.ToString().ToLowerInvariant()}", note.Where, note.What.TrimEnd('.'), note.Remedy);
}
