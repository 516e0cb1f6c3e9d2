using Hillrow.Handover;
using Hillrow.Numerics;
using Hillrow.Sheets;

namespace Hillrow.Estate;

/// <summary>Findings and maps of the last survey → the grower's page. Out: report.html, report.pdf.</summary>
internal static class ReportStep
{
    public const string Name = "report";
    private const string BlocksInput = "blocks";
    private const int LongestSidePixels = 1500;

    private static readonly Words Doing = new("writing the report", "escribiendo el informe", "escrevendo o relatório");

    public static StepKey Key { get; } = new(Name, StepKey.WholeEstate);

    /// <param name="estate">The estate.</param>
    /// <param name="surveys">In the order of their days.</param>
    /// <param name="before">Every step of those surveys: their words for the page's list of methods.</param>
    public static RunStep Of(EstateFolder estate, IReadOnlyList<SurveySubject> surveys, IReadOnlyList<RunStep> before)
    {
        ReportSettings settings = new(
            estate.Settings.Name,
            LanguageCodes.CodeOf(estate.Settings.Language),
            LongestSidePixels
        );
        IReadOnlyDictionary<string, string> words = WordsOf(before, estate.Settings.Language);
        return new RunStep(
            Key,
            Doing,
            "Findings, maps, cautions and every warning on one page; each number carries the key of its row in the table findings",
            "own",
            [
                FindingsStep.Input,
                StepInput.Table(BlocksInput, "blocks"),
                // Its own record is left out: it would never be up to date.
                StepInput.Table("estate/run_steps", "run_steps", "subject = 'estate' AND step <> $value", Name),
                StepInput.Table("estate/run_warnings", "run_warnings", "subject = 'estate' AND step <> $value", Name),
                .. surveys.SelectMany(survey =>
                    (StepInput[])
                        [
                            .. SurveyInputs.Of(survey, MappingStep.Name, ReconstructionStep.Name),
                            .. survey.CameraFile is { } camera
                                ? [StepInput.File(CameraInput(survey.Survey.Id), camera)]
                                : Array.Empty<StepInput>(),
                            RecordOf(survey, "run_steps"),
                            RecordOf(survey, "run_warnings"),
                        ]
                ),
            ],
            StepSettings.TextOf(settings),
            context => Work(context, words)
        )
        {
            Weight = 3,
        };
    }

    public static string CameraInput(string survey) => $"{survey}/camera";

    private static StepInput RecordOf(SurveySubject survey, string table) =>
        StepInput.Table($"{survey.Survey.Id}/{table}", table, "subject = $value", survey.Survey.Id);

    private static StepResult Work(StepContext context, IReadOnlyDictionary<string, string> words)
    {
        StoredFindings findings = FindingsStep.Read(context);
        ReportContent content = ContentOf(
            context,
            findings,
            findings.Surveys.Count - 1,
            context.Estate.Settings.Language,
            words
        );
        using (FileStream page = new(context.NewFile(RunOrder.ReportFile), FileMode.CreateNew))
        {
            HandoverStage.WriteHtml(content, page);
        }

        using FileStream print = new(context.NewFile(RunOrder.PrintFile), FileMode.CreateNew);
        HandoverStage.WritePdf(content, Paper.A4, print);
        return new StepResult(StageOutcome.Done);
    }

    /// <summary>The steps' words in a language, in the order of the run.</summary>
    public static IReadOnlyDictionary<string, string> WordsOf(IEnumerable<RunStep> steps, Language language) =>
        steps
            .GroupBy(step => step.Key.Step)
            .ToDictionary(group => group.Key, group => group.First().Doing.In(language));

    /// <summary>What a survey's report says, in a language; for the step, and for whoever wants another one.</summary>
    /// <param name="context">Of this step.</param>
    /// <param name="findings">Of all surveys.</param>
    /// <param name="at">Which of them.</param>
    /// <param name="language">To say it in.</param>
    /// <param name="words">The steps' words in that language.</param>
    public static ReportContent ContentOf(
        StepContext context,
        StoredFindings findings,
        int at,
        Language language,
        IReadOnlyDictionary<string, string> words
    ) =>
        new ReportContents(
            context,
            new ReportSettings(context.Estate.Settings.Name, LanguageCodes.CodeOf(language), LongestSidePixels),
            words,
            findings.Surveys[at],
            at > 0 ? findings.Surveys[at - 1] : null
        ).Compose();
}

/// <param name="EstateName">As the grower says it.</param>
/// <param name="Language">ISO 639-1.</param>
/// <param name="LongestSidePixels">Of a map's picture: overviews halve, so that 750 … 1500 pixels are had: 100 dots an inch and more on A4, and the page stays below 15 MB.</param>
internal sealed record ReportSettings(string EstateName, string Language, int LongestSidePixels);
