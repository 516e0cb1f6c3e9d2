using Hillrow.Intake;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Card folders → captures with their roles. Out: captures.json.</summary>
internal static class IntakeStep
{
    public const string Name = "intake";
    private const string FileName = "captures.json";

    private static readonly Words Doing = new("reading the card", "leyendo la tarjeta", "lendo o cartão");

    /// <summary>Share of the step's time until the metadata are read; then come the pixels.</summary>
    private const double ShareOfReading = 0.4;

    /// <exception cref="InputProblemException">The survey's decisions cannot be read.</exception>
    public static RunStep Of(SurveySubject subject)
    {
        IntakeSettings settings = IntakeSettings.Default;
        FieldCheckSettings limits = new();
        // Read when the order is made, and part of the settings: what is decided later counts in the next run.
        IReadOnlyList<CaptureDecision> decisions = DecisionsToml.Read(subject.Survey.DecisionsFile);
        return new RunStep(
            subject.Key(Name),
            Doing,
            "Metadata of every picture by the camera profile's map; frames of one trigger grouped into captures; clock, heights, sorties and roles settled; captures that are blurred, clipped or misplaced left out, unless a person keeps them",
            "own",
            [subject.Card, subject.Camera],
            StepSettings.TextOf(
                new
                {
                    stage = settings with
                    {
                        Threads = 1,
                    },
                    limits = limits with
                    {
                        Threads = 1,
                    },
                    decisions,
                }
            ),
            context => Work(context, settings, limits, decisions)
        )
        {
            Weight = 5,
        };
    }

    /// <summary>What the step found, for the steps that declare it as input.</summary>
    public static IntakeResult Read(StepContext context) =>
        StageJson.Read<IntakeResult>(Path.Combine(context.PathOf(Name), FileName));

    private static StepResult Work(
        StepContext context,
        IntakeSettings settings,
        FieldCheckSettings limits,
        IReadOnlyList<CaptureDecision> decisions
    )
    {
        IntakeResult read = IntakeStage.Run(
            IntakeInput.OfFolder(SurveySubject.CardFolder(context), SurveySubject.Profile(context)),
            settings with
            {
                Threads = context.Threads,
            },
            context.Progress(0, ShareOfReading),
            context.Cancellation
        );
        IReadOnlyList<CaptureExclusion> exclusions = read.Outcome.Usable
            ? CaptureExclusions.Judge(
                read,
                SurveySubject.CardFolder(context),
                SurveySubject.Profile(context),
                limits with
                {
                    Threads = context.Threads,
                },
                decisions,
                context.Progress(ShareOfReading, 1),
                context.Cancellation
            )
            : [];
        IntakeResult result = CaptureExclusions.Apply(read, exclusions);
        StageOutcome outcome =
            read.Outcome.Usable && result.OfRole(CaptureRole.Survey).Count == 0
                ? StageOutcome.Refused([
                    $"Every capture that maps the ground is left out: {exclusions[0].Capture}: {exclusions[0]} {exclusions.Count - 1} more. Fly again, or keep those that will do with `hillrow check --keep`.",
                ])
                : read.Outcome;
        if (outcome.Usable)
        {
            StageJson.Write(context.NewFile(FileName), result);
        }

        return new StepResult(outcome)
        {
            Warnings =
            [
                .. result.Notes.Select(WarningOf),
                .. exclusions.Select(WarningOf),
                .. decisions
                    .Where(decision => CaptureNames.Find(read.Captures, decision.Capture) is null)
                    .Select(decision => new StepWarning(
                        "decision-without-capture",
                        DecisionsToml.FileName,
                        $"\"{decision.Capture}\" is no capture of the survey, so what was decided of it is passed over",
                        "Mend the name in decisions.toml."
                    )),
            ],
            Figures =
            [
                new StepFigure("pictureFiles", result.Counts.PictureFiles),
                new StepFigure("framesUsed", result.Counts.FramesUsed),
                new StepFigure("copies", result.Counts.Copies),
                new StepFigure("excluded", result.Counts.Excluded),
                new StepFigure("captures", result.Captures.Count),
                new StepFigure("surveyCaptures", result.OfRole(CaptureRole.Survey).Count),
                new StepFigure("panelCaptures", result.OfRole(CaptureRole.Panel).Count),
                new StepFigure("capturesLeftOut", result.OfRole(CaptureRole.LeftOut).Count),
                new StepFigure("capturesKeptByHand", exclusions.Count(one => !one.LeftOut)),
                new StepFigure("sorties", result.Sorties.Count),
            ],
        };
    }

    private static StepWarning WarningOf(CaptureExclusion one) =>
        new(
            one.LeftOut ? "capture-left-out" : "capture-kept",
            $"capture {one.Capture} ({one.File})",
            one.ToString().TrimEnd('.'),
            one.Decision is null
                ? $"To have it in the map: `hillrow check --keep {one.File}`, then run again."
                : "To go by what is found: `hillrow check --as-found`, then run again."
        );

    private static StepWarning WarningOf(IntakeNote note) =>
        new($"intake-{note.Weight.ToString().ToLowerInvariant()}", note.Where, note.What.TrimEnd('.'), note.Remedy);
}
