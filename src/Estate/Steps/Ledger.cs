using Hillrow.Earth;
using Hillrow.Plants;

namespace Hillrow.Estate;

/// <summary>Every plant's number, and which plant of each survey bears it.</summary>
/// <param name="Plants">By number.</param>
/// <param name="Surveys">In the order of their days.</param>
internal sealed record Ledger(IReadOnlyList<LedgerPlant> Plants, IReadOnlyList<LedgerSurvey> Surveys)
{
    public LedgerSurvey? Of(string survey) => Surveys.FirstOrDefault(entry => entry.Survey == survey);
}

/// <param name="Number">For life, from 1.</param>
/// <param name="BlockId">Number of its block in estate.gpkg.</param>
/// <param name="Block">Name of its block.</param>
/// <param name="PlaceInRow">Position in the row, gaps counted.</param>
/// <param name="Last">As it was last seen, its place on the ledger's own footing (the first survey's).</param>
/// <param name="FirstSurvey">That saw it.</param>
/// <param name="LastSurvey">That saw it.</param>
/// <param name="State">What the last survey that covered its block says of it.</param>
internal sealed record LedgerPlant(
    long Number,
    long BlockId,
    string Block,
    int PlaceInRow,
    KnownPlant Last,
    string FirstSurvey,
    string LastSurvey,
    LedgerState State
);

internal enum LedgerState
{
    Standing,
    Stumped,

    /// <summary>The place could not be seen; the plant may stand.</summary>
    Unseen,

    /// <summary>Its place was seen without it; its number is never used again.</summary>
    Gone,
}

/// <summary>One survey's part.</summary>
/// <param name="Survey">Its id.</param>
/// <param name="Parts">By block part, in the order of its plants.json.</param>
internal sealed record LedgerSurvey(string Survey, IReadOnlyList<LedgerPart> Parts);

/// <param name="Block">Name of the block.</param>
/// <param name="Numbers">By plant in the order found.</param>
/// <param name="ShiftEastMetres">Added to the survey's places to bring them onto the ledger's.</param>
/// <param name="ShiftNorthMetres">Likewise.</param>
/// <param name="ShiftSupport">Share of known plants that the shift explains; 0 where none were known.</param>
internal sealed record LedgerPart(
    string Block,
    IReadOnlyList<long> Numbers,
    double ShiftEastMetres,
    double ShiftNorthMetres,
    double ShiftSupport
);

/// <summary>Numbers plants survey by survey.</summary>
internal sealed class LedgerBuilder
{
    private readonly List<LedgerPlant> plants = [];
    private readonly List<LedgerSurvey> surveys = [];

    public int Surveys => surveys.Count;

    /// <summary>Surveys must come in the order of their days.</summary>
    public void Add(string survey, StoredPlants found)
    {
        List<LedgerPart> parts = [];
        foreach (StoredBlockPlants part in found.Parts)
        {
            parts.Add(
                part.Found.Plants.Count == 0 ? new LedgerPart(part.BlockName, [], 0, 0, 0) : Number(survey, part)
            );
        }

        surveys.Add(new LedgerSurvey(survey, parts));
    }

    public Ledger Build() => new(plants, surveys);

    private LedgerPart Number(string survey, StoredBlockPlants part)
    {
        LedgerPlant[] living =
        [
            .. plants.Where(plant =>
                plant.BlockId == part.BlockId && plant.State != LedgerState.Gone && plant.LastSurvey != survey
            ),
        ];
        PlantMatch match = PlantMatching.Match(
            [.. living.Select(plant => plant.Last)],
            part.Found.Plants,
            part.Found.Hidden,
            part.Found.PlantSpacingMetres,
            plants.Count + 1
        );
        foreach (MatchedPlant matched in match.Plants.OrderBy(plant => plant.Number))
        {
            Keep(survey, part, match, matched);
        }

        foreach (long number in match.Gone)
        {
            Mark(number, LedgerState.Gone);
        }

        foreach (long number in match.Unseen)
        {
            Mark(number, LedgerState.Unseen);
        }

        return new LedgerPart(
            part.BlockName,
            [.. match.Plants.Select(matched => matched.Number)],
            match.ShiftEastMetres,
            match.ShiftNorthMetres,
            match.ShiftSupport
        );
    }

    private void Keep(string survey, StoredBlockPlants part, PlantMatch match, MatchedPlant matched)
    {
        PlantRecord plant = part.Found.Plants[matched.FoundIndex];
        bool known = matched.Number <= plants.Count;
        LedgerPlant entry = new(
            matched.Number,
            part.BlockId,
            part.BlockName,
            plant.PositionInRow,
            new KnownPlant(
                matched.Number,
                plant.Row,
                new GridPoint(
                    plant.Place.EastingMetres + match.ShiftEastMetres,
                    plant.Place.NorthingMetres + match.ShiftNorthMetres
                ),
                plant.PlaceSigmaMetres,
                plant.TopHeightMetres.Value,
                plant.CrownAreaSquareMetres.Value
            ),
            known ? plants[Index(matched.Number)].FirstSurvey : survey,
            survey,
            matched.Fate == PlantFate.Stumped ? LedgerState.Stumped : LedgerState.Standing
        );
        if (known)
        {
            plants[Index(matched.Number)] = entry;
        }
        else
        {
            plants.Add(entry);
        }
    }

    private void Mark(long number, LedgerState state) =>
        plants[Index(number)] = plants[Index(number)] with { State = state };

    private static int Index(long number) => checked((int)number - 1);
}
