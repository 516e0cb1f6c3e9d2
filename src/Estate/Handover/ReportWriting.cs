using Hillrow.Handover;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Which report is wanted; null is the estate's own.</summary>
/// <param name="Survey">Id; the last one.</param>
/// <param name="Language">Of the page.</param>
/// <param name="Paper">Of the PDF.</param>
public sealed record ReportWishes(string? Survey, Language? Language, Paper Paper);

/// <summary>Writes the report of any survey in any language on any paper, from the same findings as the run's own.</summary>
public static class ReportWriting
{
    /// <returns>Absolute paths of the page and the PDF, below handover/.</returns>
    /// <exception cref="InputProblemException">No such survey, or nothing has been found yet.</exception>
    public static IReadOnlyList<string> Write(
        EstateFolder estate,
        ReportWishes wishes,
        CancellationToken cancellation = default
    )
    {
        ArgumentNullException.ThrowIfNull(estate);
        ArgumentNullException.ThrowIfNull(wishes);
        IReadOnlyList<RunStep> steps = RunOrder.Of(estate);
        RunStep step =
            steps.FirstOrDefault(one => one.Key == ReportStep.Key)
            ?? throw new InputProblemException(
                estate.Root,
                "has no survey yet.",
                "Bring a card with `hillrow survey add`."
            );
        StepContext context = StepOutside.ContextOf(estate, step, cancellation);
        StoredFindings findings = FindingsStep.Read(context);
        int at = SurveyAt(findings, wishes.Survey);
        Language language = wishes.Language ?? estate.Settings.Language;
        ReportContent content = ReportStep.ContentOf(
            context,
            findings,
            at,
            language,
            ReportStep.WordsOf(steps.Where(one => one.Key != ReportStep.Key), language)
        );
        string name = $"report-{findings.Surveys[at].Survey}-{LanguageCodes.CodeOf(language)}";
        return
        [
            HandoverFiles.Write(estate, $"{name}.html", file => HandoverStage.WriteHtml(content, file)),
            HandoverFiles.Write(
                estate,
                $"{name}-{wishes.Paper.Name}.pdf",
                file => HandoverStage.WritePdf(content, wishes.Paper, file)
            ),
        ];
    }

    /// <summary>Place of a survey among the findings; the last when none is named.</summary>
    internal static int SurveyAt(StoredFindings findings, string? survey)
    {
        if (survey is null)
        {
            return findings.Surveys.Count - 1;
        }

        int at = findings.Surveys.ToList().FindIndex(one => one.Survey == survey);
        return at >= 0
            ? at
            : throw new InputProblemException(
                $"survey \"{survey}\"",
                "has no findings.",
                $"There are: {string.Join(", ", findings.Surveys.Select(one => one.Survey))}."
            );
    }
}
