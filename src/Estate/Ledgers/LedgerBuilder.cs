using Hillrow.Earth;
using Hillrow.Plants;

namespace Hillrow.Estate;

/// <summary>
/// Groups sightings into plants, survey by survey in the order of their days, under numbers for the moment: the grouping
/// depends on the surveys alone, never on when they arrived. <see cref="LedgerNumbers"/> then gives each its number for life.
/// </summary>
internal sealed class LedgerBuilder
{
    private readonly List<LedgerPlant> plants = [];
    private readonly List<LedgerSurvey> surveys = [];
    private readonly Dictionary<string, StoredPlants> found = [];
    private readonly IReadOnlyList<SamePlant> same;

    /// <param name="same">What people said of who is who; null: nothing.</param>
    public LedgerBuilder(IReadOnlyList<SamePlant>? same = null) => this.same = same ?? [];

    public int Surveys => surveys.Count;

    /// <summary>Surveys must come in the order of their days.</summary>
    public void Add(string survey, StoredPlants plantsFound)
    {
        found[survey] = plantsFound;
        List<LedgerPart> parts = [];
        foreach (StoredBlockPlants part in plantsFound.Parts)
        {
            parts.Add(
                part.Found.Plants.Count == 0 ? new LedgerPart(part.BlockName, [], 0, 0, 0) : Number(survey, part)
            );
        }

        surveys.Add(new LedgerSurvey(survey, parts));
    }

    /// <param name="memory">Numbers issued before; null: none.</param>
    public Ledger Build(IReadOnlyList<IssuedNumber>? memory = null) =>
        LedgerNumbers.Assign(new Ledger(plants, surveys), found, memory ?? []);

    private LedgerPart Number(string survey, StoredBlockPlants part)
    {
        Dictionary<int, long> certain = Certain(survey, part);
        HashSet<long> settled = [.. certain.Values];
        LedgerPlant[] living =
        [
            .. plants.Where(plant =>
                plant.BlockId == part.BlockId
                && (plant.State != LedgerState.Gone || settled.Contains(plant.Number))
                && plant.LastSurvey != survey
            ),
        ];
        PlantMatch match = PlantMatching.Match(
            [.. living.Select(plant => plant.Last)],
            part.Found.Plants,
            part.Found.Hidden,
            part.Found.PlantSpacingMetres,
            plants.Count + 1,
            certain: certain
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
            matched.Fate == PlantFate.Stumped ? LedgerState.Stumped : LedgerState.Standing,
            known ? plants[Index(matched.Number)].Issued : new IssuedAt(survey, plant.Place)
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

    /// <summary>Found plants of this part whom a person tied to one that an earlier survey saw.</summary>
    private Dictionary<int, long> Certain(string survey, StoredBlockPlants part)
    {
        Dictionary<int, long> certain = [];
        foreach (SamePlant pair in same)
        {
            (IssuedAt here, IssuedAt there) = pair.Of(survey);
            if (here.Survey != survey || Sightings.Find(part, here.Place) is not { } at)
            {
                continue;
            }

            if (NumberOf(there) is { } number && !certain.ContainsValue(number))
            {
                certain[at] = number;
            }
        }

        return certain;
    }

    private long? NumberOf(IssuedAt sighting)
    {
        LedgerSurvey? survey = surveys.Find(entry => entry.Survey == sighting.Survey);
        if (survey is null)
        {
            return null;
        }

        IReadOnlyList<StoredBlockPlants> parts = found[sighting.Survey].Parts;
        for (int part = 0; part < parts.Count; part++)
        {
            if (Sightings.Find(parts[part], sighting.Place) is { } at)
            {
                return survey.Parts[part].Numbers[at];
            }
        }

        return null;
    }

    private void Mark(long number, LedgerState state) =>
        plants[Index(number)] = plants[Index(number)] with { State = state };

    private static int Index(long number) => checked((int)number - 1);
}
