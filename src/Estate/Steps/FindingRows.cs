using System.Globalization;
using Hillrow.Earth;
using Hillrow.Findings;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Estate;

/// <summary>One survey's findings as rows of the table, each number of the report among them under its key.</summary>
internal sealed class FindingRows(
    string survey,
    SurveyPlants plants,
    FindingsResult result,
    SpreadResult? spread,
    IReadOnlyList<Block> blocks,
    MappedShare? mapped
)
{
    private const double Normal95 = 1.959963984540054;
    private const string PatchMessage = "Declining patch, cause to be confirmed by root and soil samples.";
    private const string PatchRemedy = "Dig and sample roots and soil here before treating anything.";

    private readonly Dictionary<long, GridPoint> places = plants.Observed.ToDictionary(
        plant => plant.Number,
        plant => plant.Place
    );

    private readonly Dictionary<string, long> blockIds = blocks.ToDictionary(block => block.Name, block => block.Id);

    private readonly Dictionary<long, string> blockOf = plants.Observed.ToDictionary(
        plant => plant.Number,
        plant => plant.Block
    );

    private const double DaysPerMonth = 365.25 / 12;

    private readonly IReadOnlyDictionary<long, PlantChange> changes =
        spread?.Changes ?? new Dictionary<long, PlantChange>();

    public IEnumerable<FindingRow> All() =>
        [.. EstateRows(), .. BlockRows(), .. PatchRows(), .. PlantRows(), .. ChangeRows(), .. SpreadRows()];

    public SurveyFindings Stored(IReadOnlyList<FindingRow> rows, WalkList walk) =>
        new(
            survey,
            [
                .. rows.Where(row => row.Key.Length > 0)
                    .Select(row => new StoredFigure(row.Key, row.Value, row.Low, row.High)),
            ],
            [.. result.Blocks.Select(block => block.Block)],
            [.. result.Patches.Select((patch, at) => new StoredPatch(PatchName(at), patch.Block, patch.Outline))],
            [.. Marks()],
            walk
        );

    /// <summary>The stops, and the walk's length and time as numbers of the report.</summary>
    public IEnumerable<FindingRow> WalkRows(WalkList walk)
    {
        const string Question = "walk";
        const string Subject = "all";
        yield return Figure(Question, Subject, "stops", walk.Stops.Count, "stops");
        yield return Figure(Question, Subject, "metres", walk.Metres, "m");
        yield return Figure(Question, Subject, "minutes", walk.WalkingMinutes, "min");
        foreach (WalkStop stop in walk.Stops)
        {
            yield return new FindingRow(survey, Question)
            {
                Plant = stop.Plant,
                BlockId = BlockId(stop.Plant),
                Severity = stop.Task.ToString().ToLowerInvariant(),
                Value = stop.Number,
                Unit = "stop",
                Place = stop.Place,
                Evidence = string.Create(
                    CultureInfo.InvariantCulture,
                    $"{stop.LegMetres:0} m from the stop before, slope up to {stop.SteepestShare * 100:0} %; patch {(stop.Patch < 0 ? "none" : PatchName(stop.Patch))}"
                ),
            };
        }
    }

    /// <summary>How a block's share goes over the years.</summary>
    public FindingRow TrendRow((string Block, IncidenceTrend Trend) told) =>
        Figure("blocks", told.Block, "trend", told.Trend.PerYear, "log odds/year") with
        {
            Low = told.Trend.PerYearInterval.Low,
            High = told.Trend.PerYearInterval.High,
            Evidence =
                told.Trend.IsRising ? "rising"
                : told.Trend.IsFalling ? "falling"
                : "neither rising nor falling beyond its error",
        };

    /// <summary>Key of a number: the report carries it beside the number.</summary>
    public static string KeyOf(string survey, string question, string subject, string quantity) =>
        $"{survey}|{question}|{subject}|{quantity}";

    private static string PatchName(int at) => (at + 1).ToString(CultureInfo.InvariantCulture);

    private static string Word(Severity severity) =>
        severity == Severity.NotJudged ? "not judged" : severity.ToString().ToLowerInvariant();

    private FindingRow Figure(string question, string subject, string quantity, double value, string unit) =>
        new(survey, question)
        {
            Key = KeyOf(survey, question, subject, quantity),
            Value = value,
            Unit = unit,
            BlockId = question == "blocks" && blockIds.TryGetValue(subject, out long id) ? id : null,
        };

    private IEnumerable<FindingRow> EstateRows()
    {
        const string Question = "estate";
        const string Subject = "all";
        int judged = result.Blocks.Sum(block => block.Judged);
        int declining = result.Blocks.Sum(block => block.Declining);
        double share = judged == 0 ? double.NaN : (double)declining / judged;
        // Blocks are independent: their standard errors add as squares, each weighted by its plants.
        double error =
            Math.Sqrt(
                result
                    .Blocks.Where(block => block.Judged > 0)
                    .Sum(block => Math.Pow(block.Judged * Width(block.ShareInterval) / (2 * Normal95), 2))
            ) / Math.Max(1, judged);
        yield return Figure(Question, Subject, "plants", judged, "plants");
        yield return Figure(Question, Subject, "declining", declining, "plants");
        yield return Figure(Question, Subject, "share", share, "1") with
        {
            Low = Math.Max(0, share - (Normal95 * error)),
            High = Math.Min(1, share + (Normal95 * error)),
        };
        yield return Figure(Question, Subject, "patches", result.Patches.Count, "patches");
        if (spread is null)
        {
            yield break;
        }

        yield return Figure(Question, Subject, "new", Count(PlantChange.New), "plants");
        yield return Figure(Question, Subject, "recovered", Count(PlantChange.Recovered), "plants");
        yield return Figure(Question, Subject, "alone", Count(PlantChange.Alone), "plants");
        if (double.IsFinite(spread.MeanSpeedMetresPerDay))
        {
            double speed = spread.MeanSpeedMetresPerDay * DaysPerMonth;
            double half = Normal95 * spread.MeanSpeedSigmaMetresPerDay * DaysPerMonth;
            yield return Figure(Question, Subject, "frontspeed", speed, "m/month") with
            {
                Low = speed - half,
                High = speed + half,
                Evidence = $"{spread.Fronts.Count(front => front.Advance is not null)} patches",
            };
        }

        if (spread.Infection is { } model)
        {
            yield return Figure(Question, Subject, "reach", model.ReachMetres, "m") with
            {
                Low = model.ReachInterval.Low,
                High = model.ReachInterval.High,
                Evidence = string.Create(
                    CultureInfo.InvariantCulture,
                    $"hazard {model.BackgroundPerDay:0.00E+0} + {model.ContactPerDay:0.00E+0} Σ exp(−distance/reach) a day; Akaike better than no spread by {model.AkaikeGain:0.0}; {model.NewlySick} of {model.Sound} fell ill"
                ),
            };
        }
    }

    private int Count(PlantChange change) => changes.Values.Count(value => value == change);

    private static double Width(Interval interval) => interval.High - interval.Low;

    private IEnumerable<FindingRow> BlockRows()
    {
        const string Question = "blocks";
        foreach (BlockIncidence block in result.Blocks)
        {
            Block? known = blocks.FirstOrDefault(entry => entry.Name == block.Block);
            int gaps = plants.Gaps.Count(gap => gap.Block == block.Block);
            yield return Figure(Question, block.Block, "area", known?.AreaSquareMetres / 1e4 ?? double.NaN, "ha");
            yield return Figure(
                Question,
                block.Block,
                "mapped",
                known is null || mapped is null ? double.NaN : mapped.Of(BlockPolygons.Of(known)),
                "1"
            );
            yield return Figure(Question, block.Block, "plants", block.Plants, "plants");
            yield return Figure(Question, block.Block, "gaps", gaps, "gaps");
            yield return Figure(Question, block.Block, "declining", block.Declining, "plants");
            yield return Figure(Question, block.Block, "share", block.Share, "1") with
            {
                Low = block.ShareInterval.Low,
                High = block.ShareInterval.High,
                Evidence = string.Create(CultureInfo.InvariantCulture, $"design effect {block.DesignEffect:0.00}"),
            };
            yield return Figure(
                Question,
                block.Block,
                "severe",
                block.BySeverity.GetValueOrDefault(Severity.Severe),
                "plants"
            );
            yield return Figure(
                Question,
                block.Block,
                "height",
                plants.MeanHeightMetres.GetValueOrDefault(block.Block, double.NaN),
                "m"
            );
        }
    }

    private IEnumerable<FindingRow> PatchRows()
    {
        const string Question = "patches";
        for (int at = 0; at < result.Patches.Count; at++)
        {
            DeclinePatch patch = result.Patches[at];
            string name = PatchName(at);
            long? block = blockIds.TryGetValue(patch.Block, out long id) ? id : null;
            GridPoint middle = new(
                patch.Plants.Average(number => places[number].EastingMetres),
                patch.Plants.Average(number => places[number].NorthingMetres)
            );
            yield return Figure(Question, name, "plants", patch.Plants.Count, "plants") with
            {
                BlockId = block,
                Message = PatchMessage,
                Remedy = PatchRemedy,
                Outline = patch.Outline,
                Evidence = string.Create(
                    CultureInfo.InvariantCulture,
                    $"smallest p {patch.SmallestP:0.000}; plants {string.Join(' ', patch.Plants)}"
                ),
            };
            yield return Figure(Question, name, "easting", middle.EastingMetres, "m") with
            {
                BlockId = block,
            };
            yield return Figure(Question, name, "northing", middle.NorthingMetres, "m") with
            {
                BlockId = block,
            };
        }
    }

    private IEnumerable<FindingRow> PlantRows() =>
        result.Plants.Select(plant => new FindingRow(survey, "decline")
        {
            Plant = plant.Number,
            BlockId = BlockId(plant.Number),
            Severity = Word(plant.Severity),
            Value = plant.Departure,
            Low = plant.Departure - (Normal95 * plant.DepartureSigma),
            High = plant.Departure + (Normal95 * plant.DepartureSigma),
            Unit = "standard deviations",
            Place = places[plant.Number],
            Evidence = string.Create(
                CultureInfo.InvariantCulture,
                $"false discovery {plant.FalseDiscovery:0.0000}; patch {(plant.Patch < 0 ? "none" : PatchName(plant.Patch))}; zone {(plant.Zone < 0 ? "none" : plant.Zone + 1)}"
            ),
        });

    private long? BlockId(long plant) =>
        blockOf.TryGetValue(plant, out string? block) && blockIds.TryGetValue(block, out long id) ? id : null;

    private IEnumerable<FindingRow> ChangeRows() =>
        changes
            .Where(change =>
                change.Value is PlantChange.New or PlantChange.Recovered or PlantChange.Standing or PlantChange.Alone
            )
            .Where(change => places.ContainsKey(change.Key))
            .Select(change => new FindingRow(survey, "change")
            {
                Plant = change.Key,
                BlockId = BlockId(change.Key),
                Severity = change.Value.ToString().ToLowerInvariant(),
                Place = places[change.Key],
            });

    private IEnumerable<FindingRow> SpreadRows()
    {
        if (spread is null)
        {
            yield break;
        }

        foreach (ClassTransition transition in spread.Transitions)
        {
            yield return new FindingRow(survey, "transition")
            {
                Severity = $"{Word(transition.Before)} to {Word(transition.Now)}",
                Value = transition.Plants,
                Unit = "plants",
            };
        }

        foreach (PatchFront front in spread.Fronts)
        {
            if (front.Advance is { } advance)
            {
                yield return Figure("patches", PatchName(front.Patch), "advance", advance.AdvanceMetres, "m") with
                {
                    Low = advance.AdvanceMetres - (Normal95 * advance.AdvanceSigmaMetres),
                    High = advance.AdvanceMetres + (Normal95 * advance.AdvanceSigmaMetres),
                };
            }
        }

        // A model that explains nothing more than chance has no risk to tell.
        if (spread.Infection is not { AkaikeGain: > 0 })
        {
            yield break;
        }

        foreach ((long plant, double chance) in spread.Risk.OrderBy(pair => pair.Key))
        {
            yield return new FindingRow(survey, "risk")
            {
                Plant = plant,
                BlockId = BlockId(plant),
                Value = chance,
                Unit = "1",
                Place = places[plant],
                Evidence = string.Create(CultureInfo.InvariantCulture, $"within {spread.RiskDays:0} days"),
            };
        }
    }

    private IEnumerable<StoredMark> Marks()
    {
        foreach (PlantVerdict plant in result.Plants.Where(plant => plant.Declining))
        {
            yield return new StoredMark(Word(plant.Severity), places[plant.Number]);
        }

        foreach ((long number, PlantChange change) in changes)
        {
            if (change is PlantChange.New or PlantChange.Recovered && places.TryGetValue(number, out GridPoint place))
            {
                yield return new StoredMark(change.ToString().ToLowerInvariant(), place);
            }
        }

        foreach ((_, GridPoint place) in plants.Gaps)
        {
            yield return new StoredMark("gap", place);
        }
    }
}
