using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Plants;

namespace Hillrow.Estate;

/// <summary>A survey's plants under their ledger numbers. Out: observations.gpkg.</summary>
internal static class ObservationsStep
{
    public const string Name = "observations";

    private static readonly Words Doing = new(
        "writing down the plants",
        "anotando las plantas",
        "registrando as plantas"
    );

    public static RunStep Of(SurveySubject subject) =>
        new(
            subject.Key(Name),
            Doing,
            "Every plant's measures with their standard errors, keyed by its ledger number; rows and gaps beside them",
            "own",
            [
                subject.OutputOf(PlantsStep.Name),
                // Where the ground lies; all of a map that was brought.
                .. subject.OutputsOf(subject.BroughtMap is null ? ReconstructionStep.Name : MappingStep.Name),
                .. subject.HasThermal
                    ? [subject.OutputOf(TemperatureStep.Name, optional: true)]
                    : Array.Empty<StepInput>(),
                LedgerStep.Input,
                StepInput.Table(CorrectionBook.Table, CorrectionBook.Table),
            ],
            StepSettings.None,
            context => Work(context, subject.Survey)
        )
        {
            Weight = 2,
        };

    public static string FileOf(StepContext context, string input) =>
        Path.Combine(context.PathOf(input), ObservationsFile.FileName);

    private static StepResult Work(StepContext context, SurveyFolder survey)
    {
        StoredPlants plants = CorrectedPlants.Of(
            PlantsStep.Read(context),
            new CorrectionBook(context.Estate).All(),
            survey.Id
        );
        Ledger whole = LedgerStep.Read(context);
        LedgerSurvey ledger =
            whole.Of(survey.Id) ?? throw new InvalidOperationException($"The ledger has not seen survey {survey.Id}.");
        Raster<float>? ground = HeightFiles.Find(context, HeightFiles.Ground) is { } file
            ? RasterFile.ReadWhole<float>(file)
            : null;
        IReadOnlyList<StoredPartTemperatures> warm = context.Has(TemperatureStep.Name)
            ? TemperatureStep.Crowns(context).Parts
            : [];
        PlantColumns columns = PlantColumns.For(
            plants.Parts.SelectMany(part => part.Found.Plants),
            warm.Any(part => part.Crowns.Count > 0)
        );
        List<PlantObservation> observations = [];
        List<RowLine> rows = [];
        List<EmptyPlace> empty = [];
        for (int at = 0; at < plants.Parts.Count; at++)
        {
            StoredBlockPlants part = plants.Parts[at];
            Dictionary<int, StoredCrownTemperature> crowns =
                at < warm.Count ? warm[at].Crowns.ToDictionary(crown => crown.Index) : [];
            for (int plant = 0; plant < part.Found.Plants.Count; plant++)
            {
                PlantRecord record = part.Found.Plants[plant];
                if (whole[ledger.Parts[at].Numbers[plant]].State == LedgerState.NotPlant)
                {
                    continue;
                }

                observations.Add(
                    new PlantObservation(
                        ledger.Parts[at].Numbers[plant],
                        record.Place,
                        columns.ValuesOf(record, HeightAt(ground, record.Place), crowns.GetValueOrDefault(record.Index))
                    )
                );
            }

            rows.AddRange(
                part.Found.Rows.Select(row => new RowLine(part.BlockName, row.Number, row.Line, row.LengthMetres))
            );
            empty.AddRange(part.Found.Gaps.Select(gap => Empty(part.BlockName, gap, hidden: false)));
            empty.AddRange(part.Found.Hidden.Select(gap => Empty(part.BlockName, gap, hidden: true)));
        }

        ObservationsFile.Write(
            context.NewFile(ObservationsFile.FileName),
            context.Estate.ReferenceSystem,
            survey.Date,
            columns.Columns,
            observations,
            rows,
            empty
        );
        return new StepResult(StageOutcome.Done) { Figures = [new StepFigure("plants", observations.Count)] };
    }

    private static EmptyPlace Empty(string block, EmptyPosition position, bool hidden) =>
        new(block, position.Row, position.PositionInRow, position.Place, hidden, position.Reason);

    /// <summary>Of the cell that holds the place; NaN outside, and without heights.</summary>
    private static double HeightAt(Raster<float>? raster, GridPoint place)
    {
        if (raster is null)
        {
            return double.NaN;
        }

        int row = (int)Math.Floor(raster.Grid.RowOf(place.NorthingMetres));
        int column = (int)Math.Floor(raster.Grid.ColumnOf(place.EastingMetres));
        return row >= 0 && column >= 0 && row < raster.Rows && column < raster.Columns
            ? raster[0, row, column]
            : double.NaN;
    }
}
