using Hillrow.Handover;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Findings and maps of the last survey → the grower's page. Out: report.html.</summary>
internal static class ReportStep
{
    public const string Name = "report";
    private const string BlocksInput = "blocks";

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
            LongestSidePixels: 1500
        );
        Dictionary<string, string> words = before
            .GroupBy(step => step.Key.Step)
            .ToDictionary(group => group.Key, group => group.First().Doing.In(estate.Settings.Language));
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
                    new[]
                    {
                        SurveyInputs.Of(survey, MappingStep.Name),
                        SurveyInputs.Of(survey, ReconstructionStep.Name),
                        StepInput.File(CameraInput(survey.Survey.Id), survey.CameraFile),
                        RecordOf(survey, "run_steps"),
                        RecordOf(survey, "run_warnings"),
                    }
                ),
            ],
            StepSettings.TextOf(settings),
            context => Work(context, settings, words)
        )
        {
            Weight = 3,
        };
    }

    public static string CameraInput(string survey) => $"{survey}/camera";

    private static StepInput RecordOf(SurveySubject survey, string table) =>
        StepInput.Table($"{survey.Survey.Id}/{table}", table, "subject = $value", survey.Survey.Id);

    private static StepResult Work(
        StepContext context,
        ReportSettings settings,
        IReadOnlyDictionary<string, string> words
    )
    {
        StoredFindings findings = FindingsStep.Read(context);
        SurveyFindings last = findings.Surveys[^1];
        SurveyFindings? previous = findings.Surveys.Count > 1 ? findings.Surveys[^2] : null;
        ReportContents contents = new(context, settings, words, last, previous);
        using FileStream file = new(context.NewFile(RunOrder.ReportFile), FileMode.CreateNew);
        HandoverStage.WriteHtml(contents.Compose(), file);
        return new StepResult(StageOutcome.Done);
    }
}

/// <param name="EstateName">As the grower says it.</param>
/// <param name="Language">ISO 639-1.</param>
/// <param name="LongestSidePixels">Of a map's picture: overviews halve, so that 750 … 1500 pixels are had: 100 dots an inch and more on A4, and the page stays below 15 MB.</param>
internal sealed record ReportSettings(string EstateName, string Language, int LongestSidePixels);
