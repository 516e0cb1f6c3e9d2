namespace Hillrow.Estate;

/// <summary>
/// The only place that states the order of the job's steps. A room's step is declared beside the room's carrier in
/// Estate and listed here; an estate without surveys has nothing to do.
/// </summary>
public static class RunOrder
{
    /// <summary>Every step that an estate's surveys call for now, each after those it reads from.</summary>
    public static IReadOnlyList<RunStep> Of(EstateFolder estate)
    {
        ArgumentNullException.ThrowIfNull(estate);
        return [.. estate.Surveys().SelectMany(survey => OfSurvey(estate, survey))];
    }

    private static IEnumerable<RunStep> OfSurvey(EstateFolder estate, SurveyFolder survey)
    {
        _ = (estate, survey);
        return [];
    }
}
