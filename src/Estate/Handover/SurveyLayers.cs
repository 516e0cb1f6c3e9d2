using Hillrow.Earth;
using Hillrow.Handover;
using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>A survey's findings as layers for a GIS, from the tables alone: what the run wrote is what is exported.</summary>
internal sealed class SurveyLayers(EstateFolder estate, SurveyFindings survey)
{
    private static readonly (string Column, string Name, string Short)[] Measures =
    [
        (PlantColumns.TopHeight, "top_height_metres", "height_m"),
        (PlantColumns.CrownArea, "crown_area_square_metres", "crown_m2"),
        (PlantColumns.FoliageDensity, "foliage_density", "foliage"),
        ("ndvi" + PlantColumns.Mean, "ndvi", "ndvi"),
        ("ndre" + PlantColumns.Mean, "ndre", "ndre"),
    ];

    /// <summary>Of surveys with a thermal band.</summary>
    private static readonly (string Column, string Name, string Short)[] Heat =
    [
        (PlantColumns.Temperature, "temperature_celsius", "temp_c"),
        (PlantColumns.WaterStressIndex, "water_stress_index", "cwsi"),
    ];

    private readonly Dictionary<string, StoredFigure> figures = survey.Figures.ToDictionary(figure => figure.Key);

    public IReadOnlyList<Layer> All() => [Blocks(), Patches(), Plants(), Gaps(), WalkStops(), WalkWay()];

    public Layer Blocks()
    {
        string[] quantities = ["area", "plants", "gaps", "declining", "share", "severe", "mapped"];
        LayerColumn[] columns =
        [
            new("name", "name", LayerValue.Text),
            new("crop", "crop", LayerValue.Text),
            new("variety", "variety", LayerValue.Text),
            new("area_hectares", "area_ha", LayerValue.Real),
            new("plants", "plants", LayerValue.Whole),
            new("gaps", "gaps", LayerValue.Whole),
            new("declining", "declining", LayerValue.Whole),
            new("declining_share", "share", LayerValue.Real),
            new("severe", "severe", LayerValue.Whole),
            new("mapped_share", "mapped", LayerValue.Real),
            new("declining_share_low", "share_low", LayerValue.Real),
            new("declining_share_high", "share_high", LayerValue.Real),
        ];
        return new Layer(
            "blocks",
            "management units with what was found in them",
            LayerKind.Areas,
            estate.ReferenceSystem,
            columns,
            [
                .. new BlockBook(estate)
                    .Blocks()
                    .Select(block =>
                    {
                        StoredFigure? share = Figure("blocks", block.Name, "share");
                        object?[] values =
                        [
                            block.Name,
                            block.Facts.Crop ?? "",
                            block.Facts.Variety ?? "",
                            .. quantities.Select(
                                (quantity, at) =>
                                    columns[at + 3].Value == LayerValue.Whole
                                        ? WholeOf(Figure("blocks", block.Name, quantity)?.Value)
                                        : Figure("blocks", block.Name, quantity)?.Value
                            ),
                            share?.Low,
                            share?.High,
                        ];
                        return new LayerFeature(new AreaShape([.. BlockPolygons.Of(block)]), values);
                    }),
            ]
        );
    }

    public Layer Patches() =>
        new(
            "patches",
            "declining patches, cause to be confirmed by root and soil samples",
            LayerKind.Areas,
            estate.ReferenceSystem,
            [
                new("name", "name", LayerValue.Text),
                new("block", "block", LayerValue.Text),
                new("plants", "plants", LayerValue.Whole),
                new("edge_advance_metres", "advance_m", LayerValue.Real),
                new("edge_advance_low_metres", "adv_low_m", LayerValue.Real),
                new("edge_advance_high_metres", "adv_high_m", LayerValue.Real),
            ],
            [
                .. survey.Patches.Select(patch =>
                {
                    StoredFigure? advance = Figure("patches", patch.Name, "advance");
                    return new LayerFeature(
                        new AreaShape([patch.Outline]),
                        [
                            patch.Name,
                            patch.Block,
                            WholeOf(Figure("patches", patch.Name, "plants")?.Value),
                            advance?.Value,
                            advance?.Low,
                            advance?.High,
                        ]
                    );
                }),
            ]
        );

    public Layer Plants()
    {
        Dictionary<long, string> changes = SurveyProductsReader
            .VerdictsOf(estate, survey.Survey, "change")
            .ToDictionary(row => row.Plant, row => row.Severity);
        Dictionary<long, double> risks = SurveyProductsReader
            .VerdictsOf(estate, survey.Survey, "risk")
            .ToDictionary(row => row.Plant, row => row.Value);
        (Dictionary<long, double?[]> measures, (string Column, string Name, string Short)[] told) = Measured();
        return new Layer(
            "plants",
            "every plant with its verdict; departure in standard deviations from its block's peers, negative is worse",
            LayerKind.Places,
            estate.ReferenceSystem,
            [
                new("plant", "plant", LayerValue.Whole),
                new("block", "block", LayerValue.Text),
                new("severity", "severity", LayerValue.Text),
                new("departure", "departure", LayerValue.Real),
                new("departure_low", "dep_low", LayerValue.Real),
                new("departure_high", "dep_high", LayerValue.Real),
                new("change", "change", LayerValue.Text),
                new("risk", "risk", LayerValue.Real),
                .. told.Select(measure => new LayerColumn(measure.Name, measure.Short, LayerValue.Real)),
            ],
            [
                .. PlantFindings
                    .Of(estate, survey.Survey)
                    .Select(plant => new LayerFeature(
                        new PlaceShape(plant.Place),
                        [
                            plant.Plant,
                            plant.Block,
                            plant.Severity,
                            plant.Departure,
                            plant.Low,
                            plant.High,
                            changes.GetValueOrDefault(plant.Plant, ""),
                            risks.TryGetValue(plant.Plant, out double risk) ? risk : null,
                            .. measures.TryGetValue(plant.Plant, out double?[]? known)
                                ? known.Select(value => (object?)value)
                                : told.Select(_ => (object?)null),
                        ]
                    )),
            ]
        );
    }

    public Layer Gaps() =>
        new(
            "gaps",
            "positions of a row where no plant was seen",
            LayerKind.Places,
            estate.ReferenceSystem,
            [new("number", "number", LayerValue.Whole)],
            [
                .. survey
                    .Marks.Where(mark => mark.Word == "gap")
                    .Select((mark, at) => new LayerFeature(new PlaceShape(mark.Place), [at + 1L])),
            ]
        );

    public Layer WalkStops() =>
        new(
            "walk_stops",
            "where to dig and what to look at, in the order of a short round",
            LayerKind.Places,
            estate.ReferenceSystem,
            [
                new("stop", "stop", LayerValue.Whole),
                new("plant", "plant", LayerValue.Whole),
                new("block", "block", LayerValue.Text),
                new("task", "task", LayerValue.Text),
                new("patch", "patch", LayerValue.Text),
                new("leg_metres", "leg_m", LayerValue.Real),
                new("steepest_share", "steepest", LayerValue.Real),
            ],
            [
                .. survey.Walk.Stops.Select(stop => new LayerFeature(
                    new PlaceShape(stop.Place),
                    [
                        (long)stop.Number,
                        stop.Plant,
                        stop.Block,
                        WalkContents.TaskOf(stop),
                        WalkContents.PatchOf(survey, stop),
                        stop.LegMetres,
                        stop.SteepestShare,
                    ]
                )),
            ]
        );

    public Layer WalkWay() =>
        new(
            "walk_way",
            "the way of the round, leg by leg; the first leads back from the last stop",
            LayerKind.Ways,
            estate.ReferenceSystem,
            [new("to_stop", "to_stop", LayerValue.Whole), new("metres", "metres", LayerValue.Real)],
            [
                .. survey
                    .Walk.Stops.Where(stop => stop.Leg.Count > 1)
                    .Select(stop => new LayerFeature(new WayShape(stop.Leg), [(long)stop.Number, stop.LegMetres])),
            ]
        );

    private StoredFigure? Figure(string question, string subject, string quantity) =>
        figures.GetValueOrDefault(FindingRows.KeyOf(survey.Survey, question, subject, quantity));

    private static object? WholeOf(double? value) =>
        value is { } number && double.IsFinite(number) ? (long)Math.Round(number) : null;

    private (Dictionary<long, double?[]> ByPlant, (string Column, string Name, string Short)[] Told) Measured()
    {
        if (SurveyProductsReader.FileOf(estate, survey.Survey, ObservationsFile.FileName) is not { } file)
        {
            return ([], Measures);
        }

        (IReadOnlyList<ObservationColumn> columns, IReadOnlyList<PlantObservation> rows) = ObservationsFile.Read(file);
        (string Column, string Name, string Short)[] told = columns.Any(column => column.Name == Heat[0].Column)
            ? [.. Measures, .. Heat]
            : Measures;
        int[] at = [.. told.Select(measure => columns.ToList().FindIndex(column => column.Name == measure.Column))];
        return (
            rows.ToDictionary(
                row => row.Plant,
                row => at.Select(column => column < 0 ? null : (double?)row.Values[column]).ToArray()
            ),
            told
        );
    }
}

/// <summary>A plant's verdict as the table findings has it.</summary>
internal sealed record PlantFindings(
    long Plant,
    string Block,
    string Severity,
    double? Departure,
    double? Low,
    double? High,
    GridPoint Place
)
{
    /// <summary>By plant number.</summary>
    public static IReadOnlyList<PlantFindings> Of(EstateFolder estate, string survey)
    {
        using SqliteConnection connection = estate.OpenDatabase();
        return GeoPackageConnection.Query(
            connection,
            """
            SELECT findings.plant, blocks.name, findings.severity, findings.value, findings.low, findings.high, findings.geom
            FROM findings LEFT JOIN blocks ON blocks.id = findings.block_id
            WHERE findings.survey = $survey AND findings.question = 'decline' ORDER BY findings.plant
            """,
            row =>
            {
                NetTopologySuite.Geometries.Coordinate at = GeometryBlob.Read(row.GetFieldValue<byte[]>(6)).Coordinate;
                return new PlantFindings(
                    row.GetInt64(0),
                    row.IsDBNull(1) ? "" : row.GetString(1),
                    row.GetString(2),
                    Number(row, 3),
                    Number(row, 4),
                    Number(row, 5),
                    new GridPoint(at.X, at.Y)
                );
            },
            ("$survey", survey)
        );
    }

    private static double? Number(SqliteDataReader row, int column) =>
        row.IsDBNull(column) ? null : row.GetDouble(column);
}
