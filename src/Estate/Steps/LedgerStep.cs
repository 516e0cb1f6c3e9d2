using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Plants;
using Microsoft.Data.Sqlite;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>
/// The plants of all surveys → one number for each plant. Out: ledger.json; rows of the table plants.
/// </summary>
internal static class LedgerStep
{
    public const string Name = "ledger";
    private const string FileName = "ledger.json";

    private static readonly Words Doing = new(
        "recognising plants",
        "reconociendo las plantas",
        "reconhecendo as plantas"
    );

    public static StepKey Key { get; } = new(Name, StepKey.WholeEstate);

    public static RunStep Of(IReadOnlyList<SurveySubject> surveys) =>
        new(
            Key,
            Doing,
            "Block by block: the survey's common shift by the peak of all displacements, then the cheapest assignment of all plants within half a planting distance; who is new gets the next number",
            "Jonker & Volgenant 1987, doi 10.1007/BF02278710",
            [.. surveys.Select(survey => InputOf(survey))],
            StepSettings.None,
            context => Work(context, surveys)
        )
        {
            Weight = 2,
        };

    public static StepInput Input { get; } = StepInput.Output(Name, Key);

    public static Ledger Read(StepContext context) =>
        StageJson.Read<Ledger>(Path.Combine(context.PathOf(Name), FileName));

    /// <summary>A survey whose plants were refused does not hold up the others.</summary>
    private static StepInput InputOf(SurveySubject survey) =>
        StepInput.Output(survey.Survey.Id, survey.Key(PlantsStep.Name), optional: true);

    private static StepResult Work(StepContext context, IReadOnlyList<SurveySubject> surveys)
    {
        LedgerBuilder builder = new();
        foreach (SurveySubject survey in surveys.Where(survey => context.Has(survey.Survey.Id)))
        {
            builder.Add(survey.Survey.Id, PlantsStep.Read(context, survey.Survey.Id));
            context.Report((double)builder.Surveys / surveys.Count);
        }

        Ledger ledger = builder.Build();
        if (ledger.Plants.Count == 0)
        {
            return new StepResult(StageOutcome.Refused("No survey has plants: there is nothing to number."));
        }

        StageJson.Write(context.NewFile(FileName), ledger);
        int epsg = context.Estate.ReferenceSystem.EpsgCode;
        return new StepResult(StageOutcome.Done)
        {
            Figures = [new StepFigure("plants", ledger.Plants.Count), new StepFigure("surveys", builder.Surveys)],
            CommitRows = connection => Commit(connection, ledger, epsg),
        };
    }

    private static void Commit(SqliteConnection connection, Ledger ledger, int epsg)
    {
        GeoPackageConnection.Execute(connection, "DELETE FROM plants");
        foreach (LedgerPlant plant in ledger.Plants)
        {
            GeoPackageConnection.Execute(
                connection,
                """
                INSERT INTO plants (id, geom, plant, block_id, row_number, place_in_row, first_survey, last_survey, state)
                VALUES ($plant, $geom, $plant, $block, $row, $place, $first, $last, $state)
                """,
                (
                    "$geom",
                    GeometryBlob.Write(new Point(plant.Last.Place.EastingMetres, plant.Last.Place.NorthingMetres), epsg)
                ),
                ("$plant", plant.Number),
                ("$block", plant.BlockId),
                ("$row", plant.Last.Row),
                ("$place", plant.PlaceInRow),
                ("$first", plant.FirstSurvey),
                ("$last", plant.LastSurvey),
                ("$state", plant.State.ToString().ToLowerInvariant())
            );
        }

        GeoPackageSchema.Touch(connection, "plants", null);
    }
}
