using Hillrow.Handover;
using Hillrow.Sheets;

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
    /// <exception cref="Numerics.InputProblemException">No such survey, or nothing has been found yet.</exception>
    public static IReadOnlyList<string> Write(
        EstateFolder estate,
        ReportWishes wishes,
        CancellationToken cancellation = default
    )
    {
        ArgumentNullException.ThrowIfNull(estate);
        ArgumentNullException.ThrowIfNull(wishes);
        (StepContext context, StoredFindings findings, int at) = CurrentFindings.Of(
            estate,
            wishes.Survey,
            cancellation
        );
        Language language = wishes.Language ?? estate.Settings.Language;
        ReportContent content = ReportStep.ContentOf(
            context,
            findings,
            at,
            language,
            ReportStep.WordsOf(RunOrder.Of(estate).Where(one => one.Key != ReportStep.Key), language)
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
}
