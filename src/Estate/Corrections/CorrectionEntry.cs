using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Turns what a person says of numbers into corrections tied to sightings.</summary>
public sealed class CorrectionEntry(EstateFolder estate)
{
    private readonly LedgerQueries ledger = new(estate);

    /// <summary>The two numbers are one plant; the older number stays.</summary>
    /// <exception cref="InputProblemException">One survey saw both, or a number does not exist.</exception>
    public PlantCorrection Same(long plant, long other)
    {
        PlantEntry one = Living(plant);
        PlantEntry two = Living(other);
        if (plant == other || one.Block != two.Block)
        {
            throw new InputProblemException(
                $"plants {plant} and {other}",
                plant == other ? "are one number." : $"stand in two blocks ({one.Block}, {two.Block}).",
                "Give two numbers of one block."
            );
        }

        if (
            ledger
                .History(plant)
                .Select(sighting => sighting.Survey)
                .Intersect(ledger.History(other).Select(sighting => sighting.Survey))
                .FirstOrDefault() is
            { } both
        )
        {
            throw new InputProblemException(
                $"plants {plant} and {other}",
                $"were both seen on {both}.",
                "If one of them is no plant, say so with --not-plant."
            );
        }

        IssuedAt here = ledger.IssuedOf(plant);
        IssuedAt there = ledger.IssuedOf(other);
        return new PlantCorrection(CorrectionKind.Same, here.Survey, plant, here.Place, Today())
        {
            SameAs = (other, there.Survey, there.Place),
        };
    }

    /// <summary>In a survey, the last that saw it if none is named, the plant stands elsewhere.</summary>
    public PlantCorrection Moved(long plant, GridPoint place, string? survey)
    {
        PlantSighting sighting = Sighting(plant, survey);
        return new PlantCorrection(CorrectionKind.Moved, sighting.Survey, plant, sighting.Place, Today())
        {
            MovedTo = place,
        };
    }

    public PlantCorrection NotPlant(long plant)
    {
        Living(plant);
        IssuedAt issued = ledger.IssuedOf(plant);
        return new PlantCorrection(CorrectionKind.NotPlant, issued.Survey, plant, issued.Place, Today());
    }

    /// <summary>A plant stands where a survey, the last if none is named, found none.</summary>
    public PlantCorrection Missing(GridPoint place, string? survey)
    {
        SurveyFolder[] surveys = [.. estate.Surveys().Where(entry => File.Exists(entry.SettingsFile))];
        SurveyFolder? chosen = survey is null
            ? surveys.LastOrDefault()
            : Array.Find(surveys, entry => entry.Id == survey);
        return chosen is null
            ? throw new InputProblemException(
                survey is null ? estate.Root : $"survey {survey}",
                survey is null ? "has no survey yet." : "does not exist.",
                surveys.Length == 0
                    ? "Bring one with `hillrow survey add`."
                    : $"There are: {string.Join(", ", surveys.Select(entry => entry.Id))}."
            )
            : new PlantCorrection(CorrectionKind.Missing, chosen.Id, null, place, Today());
    }

    /// <summary>Places of a survey, the last if none is named, with what a person says of each.</summary>
    public IReadOnlyList<PlantCorrection> Labels(IReadOnlyList<PlaceLabel> labels, string? survey)
    {
        ArgumentNullException.ThrowIfNull(labels);
        return
        [
            .. labels.Select(label =>
                Missing(estate.ReferenceSystem.ToGrid(label.Place), survey) with
                {
                    Kind = CorrectionKind.Label,
                    Word = label.Word,
                }
            ),
        ];
    }

    private PlantSighting Sighting(long plant, string? survey)
    {
        Living(plant);
        IReadOnlyList<PlantSighting> history = ledger.History(plant);
        return (survey is null ? history.LastOrDefault() : history.FirstOrDefault(entry => entry.Survey == survey))
            ?? throw new InputProblemException(
                $"plant {plant}",
                survey is null ? "is seen by no survey." : $"is not seen on {survey}.",
                history.Count == 0
                    ? "Run the estate first."
                    : $"It is seen on {string.Join(", ", history.Select(entry => entry.Survey))}."
            );
    }

    private PlantEntry Living(long plant)
    {
        PlantEntry entry = ledger.Plant(plant);
        return entry.State is "merged" or "withdrawn"
            ? throw new InputProblemException(
                $"plant {plant}",
                entry.MergedInto is { } kept ? $"was found to be plant {kept}." : "is shown by no survey any more.",
                entry.MergedInto is { } number ? $"Give {number}." : "Give the number that stands there now."
            )
            : entry;
    }

    private static DateOnly Today() => DateOnly.FromDateTime(DateTime.Now);
}
