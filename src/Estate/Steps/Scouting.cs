using System.Globalization;
using Hillrow.Findings;

namespace Hillrow.Estate;

/// <summary>What scouts' answers teach a run: thresholds of severity, and how far map and scouts agree.</summary>
internal sealed record Scouting(
    FindingsSettings Settings,
    FindingsSettings Defaults,
    IReadOnlyDictionary<string, IReadOnlyList<ScoutAnswer>> BySurvey
)
{
    private const string Question = "scouting";
    private const string Subject = "all";

    /// <summary>
    /// Departures do not depend on the thresholds, so the surveys that were scouted are judged once for them, and again by
    /// whoever uses the settings.
    /// </summary>
    public static Scouting Learn(
        StepContext context,
        IReadOnlyList<SurveyFolder> surveys,
        Ledger ledger,
        FindingsSettings defaults
    )
    {
        Dictionary<string, IReadOnlyList<ScoutAnswer>> answers = new ScoutBook(context.Estate)
            .Answers()
            .Where(answer => answer.State is not null)
            .GroupBy(answer => answer.Survey)
            .ToDictionary(group => group.Key, IReadOnlyList<ScoutAnswer> (group) => [.. Last(group)]);
        List<ScoutedPlant> taught = [];
        foreach (SurveyFolder survey in surveys.Where(survey => answers.ContainsKey(survey.Id)))
        {
            SurveyPlants plants = SurveyPlants.Read(context, survey.Id, ledger);
            FindingsResult result = FindingsStage.Run(
                plants.Observed,
                defaults with
                {
                    Threads = context.Threads,
                },
                null,
                context.Cancellation
            );
            taught.AddRange(Beside(answers[survey.Id], result));
        }

        return new Scouting(LearntThresholds.From(taught, defaults), defaults, answers);
    }

    public IEnumerable<FindingRow> RowsOf(string survey, FindingsResult result)
    {
        yield return Row(survey, "thresholdlight", Settings.LeastDeparture, "standard deviations") with
        {
            Evidence = Moved(Settings.LeastDeparture, Defaults.LeastDeparture),
        };
        yield return Row(survey, "thresholdmoderate", Settings.ModerateDeparture, "standard deviations") with
        {
            Evidence = Moved(Settings.ModerateDeparture, Defaults.ModerateDeparture),
        };
        yield return Row(survey, "thresholdsevere", Settings.SevereDeparture, "standard deviations") with
        {
            Evidence = Moved(Settings.SevereDeparture, Defaults.SevereDeparture),
        };
        if (!BySurvey.TryGetValue(survey, out IReadOnlyList<ScoutAnswer>? answers))
        {
            yield break;
        }

        ScoutAgreement agreement = ScoutAgreement.Of(Beside(answers, result));
        yield return Row(survey, "answers", agreement.Answers, "plants");
        yield return Row(survey, "toldandseen", agreement.ToldAndSeen, "plants");
        yield return Row(survey, "toldnotseen", agreement.ToldNotSeen, "plants");
        yield return Row(survey, "seennottold", agreement.SeenNotTold, "plants");
        yield return Row(survey, "neither", agreement.Neither, "plants");
        yield return Row(survey, "rightshare", agreement.RightShare, "1") with
        {
            Low = agreement.RightInterval.Low,
            High = agreement.RightInterval.High,
        };
        yield return Row(survey, "overlookedshare", agreement.OverlookedShare, "1") with
        {
            Low = agreement.OverlookedInterval.Low,
            High = agreement.OverlookedInterval.High,
        };
    }

    /// <summary>A plant that was answered twice counts by its last answer.</summary>
    private static IEnumerable<ScoutAnswer> Last(IEnumerable<ScoutAnswer> answers) =>
        answers.GroupBy(answer => answer.Plant).Select(group => group.MaxBy(answer => answer.Answered)!);

    private static ScoutedPlant[] Beside(IReadOnlyList<ScoutAnswer> answers, FindingsResult result)
    {
        Dictionary<long, PlantVerdict> verdicts = result.Plants.ToDictionary(plant => plant.Number);
        return
        [
            .. answers
                .Where(answer => verdicts.ContainsKey(answer.Plant))
                .Select(answer => new ScoutedPlant(
                    verdicts[answer.Plant].Departure,
                    verdicts[answer.Plant].Severity,
                    answer.State!.Value
                )),
        ];
    }

    private static string Moved(double now, double from) =>
        now.Equals(from)
            ? "default"
            : string.Create(CultureInfo.InvariantCulture, $"learnt from scouts' answers; default {from:0.##}");

    private static FindingRow Row(string survey, string quantity, double value, string unit) =>
        new(survey, Question)
        {
            Key = FindingRows.KeyOf(survey, Question, Subject, quantity),
            Value = value,
            Unit = unit,
        };
}
