using Hillrow.Numerics;
using Microsoft.Data.Sqlite;

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
            "Block by block in the order of days: the survey's common shift by the peak of all displacements, then the cheapest assignment of all plants within half a planting distance, what people settled kept; a number stays with the sighting it was issued for, who is new gets the next",
            "Jonker & Volgenant 1987, doi 10.1007/BF02278710",
            [.. surveys.Select(survey => InputOf(survey)), StepInput.Table(CorrectionBook.Table, CorrectionBook.Table)],
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
        IReadOnlyList<PlantCorrection> corrections = new CorrectionBook(context.Estate).All();
        LedgerBuilder builder = new(CorrectedPlants.Same(corrections));
        foreach (SurveySubject survey in surveys.Where(survey => context.Has(survey.Survey.Id)))
        {
            string id = survey.Survey.Id;
            builder.Add(id, CorrectedPlants.Of(PlantsStep.Read(context, id), corrections, id));
            context.Report((double)builder.Surveys / surveys.Count);
        }

        // Numbers issued before are no input: what is to be done does not depend on them, only what it is called.
        Ledger ledger = NotPlants.Mark(builder.Build(IssuedNumbers.Read(context.Estate)), corrections);
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
        IssuedNumbers.Replace(connection, ledger, epsg);
        GeoPackageSchema.Touch(connection, "plants", null);
    }
}
