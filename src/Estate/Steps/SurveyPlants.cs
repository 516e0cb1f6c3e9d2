using Hillrow.Earth;
using Hillrow.Findings;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Estate;

/// <summary>A survey's plants as Findings wants them, with what the report tells beside: heights and gaps.</summary>
internal sealed record SurveyPlants(
    IReadOnlyList<ObservedPlant> Observed,
    IReadOnlyDictionary<string, double> MeanHeightMetres,
    IReadOnlyList<(string Block, GridPoint Place)> Gaps
)
{
    /// <summary>Of the block's median height; a replant of a year is knee-high (common practice, no source).</summary>
    private const double YoungHeightShare = 0.65;

    public static SurveyPlants Read(StepContext context, string survey, Ledger ledger)
    {
        (IReadOnlyList<ObservationColumn> columns, IReadOnlyList<PlantObservation> rows) = ObservationsFile.Read(
            ObservationsStep.FileOf(context, SurveyInputs.NameOf(survey, ObservationsStep.Name))
        );
        Dictionary<string, int> at = columns
            .Select((column, index) => (column.Name, index))
            .ToDictionary(pair => pair.Name, pair => pair.index);

        double Value(PlantObservation plant, string column) =>
            at.TryGetValue(column, out int index) ? plant.Values[index] : double.NaN;

        Measured Of(PlantObservation plant, string column) =>
            new(Value(plant, column), Value(plant, column + PlantColumns.Sigma));

        Measured LogOf(PlantObservation plant, string column)
        {
            Measured plain = Of(plant, column);
            return plain.Value > 0 ? new Measured(Math.Log(plain.Value), plain.Sigma / plain.Value) : Measured.Missing;
        }

        string BlockOf(PlantObservation plant) => ledger[plant.Plant].Block;

        Dictionary<string, double> usualHeights = rows.GroupBy(BlockOf)
            .ToDictionary(
                group => group.Key,
                group => MedianOf(group.Select(plant => Value(plant, PlantColumns.TopHeight)))
            );
        Dictionary<string, int> order = ledger
            .Surveys.Select((entry, index) => (entry.Survey, index))
            .ToDictionary(pair => pair.Survey, pair => pair.index);
        Dictionary<string, int> firstSurveys = ledger
            .Plants.Where(plant => plant.State is not (LedgerState.Merged or LedgerState.Withdrawn))
            .GroupBy(plant => plant.Block)
            .ToDictionary(group => group.Key, group => group.Min(plant => order[plant.FirstSurvey]));

        // New to the ledger and small: planted since. New and tall: it was only missed before.
        bool IsYoung(PlantObservation plant) =>
            order[ledger[plant.Plant].FirstSurvey] > firstSurveys[BlockOf(plant)]
            && Value(plant, PlantColumns.TopHeight) < YoungHeightShare * usualHeights[BlockOf(plant)];

        ObservedPlant[] observed =
        [
            .. rows.Select(plant => new ObservedPlant(
                plant.Plant,
                BlockOf(plant),
                plant.Place,
                Value(plant, PlantColumns.GroundHeight),
                [
                    .. Enum.GetValues<VigourMeasure>()
                        .Select(measure =>
                            measure switch
                            {
                                VigourMeasure.Ndre => Of(plant, "ndre" + PlantColumns.Mean),
                                VigourMeasure.Ndvi => Of(plant, "ndvi" + PlantColumns.Mean),
                                VigourMeasure.LogCrownArea => LogOf(plant, PlantColumns.CrownArea),
                                _ => Of(plant, PlantColumns.FoliageDensity),
                            }
                        ),
                ],
                IsYoung(plant)
            )),
        ];
        Dictionary<string, double> heights = rows.GroupBy(BlockOf)
            .ToDictionary(
                group => group.Key,
                group =>
                {
                    double[] known =
                    [
                        .. group.Select(plant => Value(plant, PlantColumns.TopHeight)).Where(double.IsFinite),
                    ];
                    return known.Length == 0 ? double.NaN : known.Average();
                }
            );
        StoredPlants found = PlantsStep.Read(context, SurveyInputs.NameOf(survey, PlantsStep.Name));
        return new SurveyPlants(
            observed,
            heights,
            [.. found.Parts.SelectMany(part => part.Found.Gaps.Select(gap => (part.BlockName, gap.Place)))]
        );
    }

    private static double MedianOf(IEnumerable<double> values)
    {
        double[] known = [.. values.Where(double.IsFinite)];
        return known.Length == 0 ? double.NaN : Quantiles.MedianInPlace(known);
    }
}
