using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>What the last run found, for documents that are made of it outside a run.</summary>
internal static class CurrentFindings
{
    /// <returns>The report step's inputs (they hold all maps), the findings, and the place of the survey among them.</returns>
    /// <exception cref="InputProblemException">No such survey, or nothing has been found yet.</exception>
    public static (StepContext Context, StoredFindings Findings, int At) Of(
        EstateFolder estate,
        string? survey,
        CancellationToken cancellation
    )
    {
        RunStep step =
            RunOrder.Of(estate).FirstOrDefault(one => one.Key == ReportStep.Key)
            ?? throw new InputProblemException(
                estate.Root,
                "has no survey in which plants are looked for.",
                "Bring a card with `hillrow survey add`; what a colour camera sees ends with its map."
            );
        StepContext context = StepOutside.ContextOf(estate, step, cancellation);
        StoredFindings findings = FindingsStep.Read(context);
        if (survey is null)
        {
            return (context, findings, findings.Surveys.Count - 1);
        }

        int at = findings.Surveys.ToList().FindIndex(one => one.Survey == survey);
        return at >= 0
            ? (context, findings, at)
            : throw new InputProblemException(
                $"survey \"{survey}\"",
                "has no findings.",
                $"There are: {string.Join(", ", findings.Surveys.Select(one => one.Survey))}."
            );
    }
}
