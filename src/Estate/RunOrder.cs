namespace Hillrow.Estate;

/// <summary>
/// The only place that states the order of the job's steps. A room's step is declared in Estate/Steps and listed here;
/// an estate without surveys has nothing to do.
/// </summary>
public static class RunOrder
{
    /// <summary>The grower's page.</summary>
    internal const string ReportFile = "report.html";

    /// <summary>The same for the printer, A4.</summary>
    internal const string PrintFile = "report.pdf";

    /// <summary>Documents for people that keep a stable name below handover/, by the step that makes them.</summary>
    internal static IReadOnlyList<(StepKey Step, string File)> Documents { get; } =
    [
        (ReportStep.Key, ReportFile),
        (ReportStep.Key, PrintFile),
        .. WalkContents.Formats.Select(format => (WalkStep.Key, format.File)),
    ];

    /// <summary>Every step that an estate's surveys call for now, each after those it reads from.</summary>
    /// <exception cref="Hillrow.Numerics.InputProblemException">A survey's settings cannot be read.</exception>
    public static IReadOnlyList<RunStep> Of(EstateFolder estate)
    {
        ArgumentNullException.ThrowIfNull(estate);
        SurveySubject[] surveys = Subjects(estate);
        if (surveys.Length == 0)
        {
            return [];
        }

        MappedArea? area = MappedArea.Of(new BlockBook(estate).Blocks());
        RunStep[] apart = [.. surveys.SelectMany((survey, index) => OfSurvey(survey, surveys[..index], area))];
        SurveySubject[] planted = [.. surveys.Where(survey => survey.ShowsPlants)];
        if (planted.Length == 0)
        {
            return apart;
        }

        RunStep[] together =
        [
            LedgerStep.Of(planted),
            .. planted.Select(ObservationsStep.Of),
            FindingsStep.Of(planted, SiteOf(estate)),
        ];
        return [.. apart, .. together, WalkStep.Of(estate), ReportStep.Of(estate, planted, [.. apart, .. together])];
    }

    /// <summary>The estate's surveys; a folder without survey.toml is one whose card was not copied to the end.</summary>
    /// <exception cref="Hillrow.Numerics.InputProblemException">A survey's settings cannot be read.</exception>
    internal static SurveySubject[] Subjects(EstateFolder estate) =>
        [
            .. estate
                .Surveys()
                .Where(survey => File.Exists(survey.SettingsFile))
                .Select(survey => SurveySubject.Of(estate, survey)),
        ];

    /// <summary>The estate's own site file, when one is kept.</summary>
    private static string? SiteOf(EstateFolder estate)
    {
        string file = Path.Combine(PlanInputs.FlightsFolder(estate), "site.geojson");
        return File.Exists(file) ? file : null;
    }

    private static IEnumerable<RunStep> OfSurvey(SurveySubject survey, SurveySubject[] earlier, MappedArea? area)
    {
        SurveySubject[] showing = [.. earlier.Where(other => other.ShowsPlants)];
        if (survey.BroughtMap is { } bands)
        {
            yield return BroughtMapStep.Of(survey, bands);
            yield return PlantsStep.Of(survey, showing);
            yield break;
        }

        yield return IntakeStep.Of(survey);
        yield return RadiometryStep.Of(survey);
        yield return ReconstructionStep.Of(survey, [.. earlier.Where(other => other.BroughtMap is null)], area);
        yield return LightStep.Of(survey);
        yield return MappingStep.Of(survey);
        if (!survey.ShowsPlants)
        {
            yield break;
        }

        yield return PlantsStep.Of(survey, showing);
        if (survey.HasThermal)
        {
            yield return TemperatureStep.Of(survey);
        }
    }
}
