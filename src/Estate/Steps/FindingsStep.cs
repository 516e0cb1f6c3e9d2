using Hillrow.Earth;
using Hillrow.Findings;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>The observations of all surveys → answers. Out: findings.json; rows of the table findings.</summary>
internal static class FindingsStep
{
    public const string Name = "findings";
    private const string FileName = "findings.json";
    private const string BlocksInput = "blocks";

    private static readonly Words Doing = new("judging the plants", "evaluando las plantas", "avaliando as plantas");

    public static StepKey Key { get; } = new(Name, StepKey.WholeEstate);

    public static StepInput Input { get; } = StepInput.Output(Name, Key);

    private const string TracksInput = "tracks";

    private static readonly WalkSettings Walk = new();

    /// <param name="surveys">In the order of their days.</param>
    /// <param name="siteFile">Drawn tracks of the estate, or null when there are none.</param>
    public static RunStep Of(IReadOnlyList<SurveySubject> surveys, string? siteFile)
    {
        FindingsSettings settings = new();
        return new RunStep(
            Key,
            Doing,
            "Each plant against its block's peers after a slow surface is taken out, false alarms bounded; patches beyond chance; zones by k-means; change plant by plant from both dates and the neighbours; the patches' edges between two dates and the infection model by maximum likelihood; thresholds as scouts' answers teach them; a short walk over the stops",
            "Benjamini & Hochberg 1995, doi 10.1111/j.2517-6161.1995.tb02031.x; Ord & Getis 1995, doi 10.1111/j.1538-4632.1995.tb00912.x; Eilers & Marx 1996, doi 10.1214/ss/1038425655; Gibson 1997, doi 10.1111/1467-9876.00061; Tobler 1993 (from memory)",
            [
                .. surveys.SelectMany(survey =>
                    SurveyInputs.Of(
                        survey,
                        ObservationsStep.Name,
                        PlantsStep.Name,
                        ReconstructionStep.Name,
                        LightStep.Name,
                        TemperatureStep.Name,
                        MappingStep.Name
                    )
                ),
                LedgerStep.Input,
                StepInput.Table(BlocksInput, "blocks"),
                StepInput.Table(ScoutBook.Table, ScoutBook.Table),
                .. siteFile is null ? Array.Empty<StepInput>() : [StepInput.File(TracksInput, siteFile)],
            ],
            StepSettings.TextOf(new FindingsAndWalk(settings with { Threads = 1 }, Walk)),
            context => Work(context, surveys, settings, siteFile is not null)
        )
        {
            Weight = 3,
        };
    }

    private static IReadOnlyList<IReadOnlyList<GridPoint>> Tracks(StepContext context) =>
        [
            .. SiteFile
                .Read(context.PathOf(TracksInput))
                .Where(feature => feature.Kind == "track")
                .Select(feature => feature.Places.Select(context.Estate.ReferenceSystem.ToGrid).ToArray()),
        ];

    public static StoredFindings Read(StepContext context) =>
        StageJson.Read<StoredFindings>(Path.Combine(context.PathOf(Name), FileName));

    private static StepResult Work(
        StepContext context,
        IReadOnlyList<SurveySubject> surveys,
        FindingsSettings settings,
        bool hasTracks
    )
    {
        IReadOnlyList<Block> blocks = new BlockBook(context.Estate).Blocks();
        Ledger ledger = LedgerStep.Read(context);
        IReadOnlyList<IReadOnlyList<GridPoint>> tracks = hasTracks ? Tracks(context) : [];
        SurveyFolder[] usable =
        [
            .. surveys
                .Select(survey => survey.Survey)
                .Where(survey => context.Has(SurveyInputs.NameOf(survey.Id, ObservationsStep.Name))),
        ];
        Scouting scouting = Scouting.Learn(context, usable, ledger, settings);
        settings = scouting.Settings;
        List<SurveyFindings> found = [];
        List<FindingRow> rows = [];
        StageOutcome outcome = StageOutcome.Done;
        JudgedSurvey? before = null;
        TrendSoFar trend = new();
        foreach (SurveyFolder survey in usable)
        {
            SurveyPlants plants = SurveyPlants.Read(context, survey.Id, ledger);
            FindingsResult result = FindingsStage.Run(
                plants.Observed,
                settings with
                {
                    Threads = context.Threads,
                },
                null,
                context.Cancellation
            );
            outcome = outcome.With(
                result.Outcome.Usable ? result.Outcome : StageOutcome.Degraded([.. result.Outcome.Reasons])
            );
            JudgedSurvey judged = new(SurveyDay.Of(survey.Id), plants.Observed, result);
            SpreadResult? spread =
                before is not null && judged.Day > before.Day ? SpreadStage.Between(before, judged, settings) : null;
            string mapping = SurveyInputs.NameOf(survey.Id, MappingStep.Name);
            MappedShare? mapped = context.Has(mapping) ? MappedShare.Read(MappingStep.Files(context, mapping)) : null;
            FindingRows told = new(survey.Id, plants, result, spread, blocks, mapped);
            WalkList walk = WalkStage.Plan(plants.Observed, result, spread, tracks, settings, Walk);
            IReadOnlyList<FindingRow> own =
            [
                .. told.All(),
                .. told.WalkRows(walk),
                .. scouting.RowsOf(survey.Id, result),
                .. trend.With(judged.Day, result).Select(told.TrendRow),
                .. QualityRows.Of(context, survey.Id, result),
                .. LightRows.Of(context, survey.Id),
            ];
            rows.AddRange(own);
            found.Add(told.Stored(own, walk));
            before = judged;
            context.Report((double)found.Count / usable.Length);
        }

        if (rows.Count == 0)
        {
            return new StepResult(StageOutcome.Refused("No survey has plants: there is nothing to judge."));
        }

        StageJson.Write(context.NewFile(FileName), new StoredFindings(found));
        int epsg = context.Estate.ReferenceSystem.EpsgCode;
        return new StepResult(outcome)
        {
            Figures = [new StepFigure("surveys", found.Count), new StepFigure("rows", rows.Count)],
            CommitRows = connection => FindingRow.Replace(connection, rows, epsg),
        };
    }
}

/// <summary>The shares of each block over the surveys so far.</summary>
internal sealed class TrendSoFar
{
    private readonly Dictionary<string, List<(DateOnly Day, int Judged, int Declining, double Effect)>> blocks = [];

    /// <summary>Takes a survey in; trends of the blocks that were seen three times or more by now.</summary>
    public IEnumerable<(string Block, IncidenceTrend Trend)> With(DateOnly day, FindingsResult result)
    {
        foreach (BlockIncidence block in result.Blocks)
        {
            if (!blocks.TryGetValue(block.Block, out var seen))
            {
                blocks[block.Block] = seen = [];
            }

            seen.Add((day, block.Judged, block.Declining, block.DesignEffect));
            if (IncidenceTrend.Of(seen) is { } trend)
            {
                yield return (block.Block, trend);
            }
        }
    }
}

/// <summary>What governs the step, as its fingerprint has it.</summary>
internal sealed record FindingsAndWalk(FindingsSettings Findings, WalkSettings Walk);

/// <summary>Findings as the report needs them, by survey in the order of days.</summary>
internal sealed record StoredFindings(IReadOnlyList<SurveyFindings> Surveys);

/// <param name="Survey">Id.</param>
/// <param name="Figures">Numbers with keys, as in the table findings.</param>
/// <param name="Blocks">Names of the blocks judged.</param>
/// <param name="Patches">Declining patches.</param>
/// <param name="Marks">Plants and gaps worth a mark on the map.</param>
/// <param name="Walk">Where the scout goes, in the order of walking.</param>
internal sealed record SurveyFindings(
    string Survey,
    IReadOnlyList<StoredFigure> Figures,
    IReadOnlyList<string> Blocks,
    IReadOnlyList<StoredPatch> Patches,
    IReadOnlyList<StoredMark> Marks,
    WalkList Walk
);

internal sealed record StoredFigure(string Key, double Value, double? Low, double? High);

internal sealed record StoredPatch(string Name, string Block, GridPolygon Outline);

/// <param name="Word">"light", "moderate", "severe", "new", "recovered", "gap".</param>
internal sealed record StoredMark(string Word, GridPoint Place);

/// <summary>Names of a survey's outputs among the inputs of a step of the whole estate.</summary>
internal static class SurveyInputs
{
    public static string NameOf(string survey, string step) => $"{survey}/{step}";

    /// <summary>Those of some steps that a survey goes through; one that was refused does not hold up the others.</summary>
    public static IEnumerable<StepInput> Of(SurveySubject survey, params IEnumerable<string> steps) =>
        steps
            .Where(survey.Has)
            .Select(step => StepInput.Output(NameOf(survey.Survey.Id, step), survey.Key(step), optional: true));
}
