using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>A survey's map as it stands, with the bands that formulas may speak of.</summary>
/// <param name="Survey">Id.</param>
/// <param name="Files">Those that are there.</param>
/// <param name="Bands">Of the reflectance, in its order.</param>
/// <param name="Told">What to know before its numbers are compared.</param>
internal sealed record SurveyMap(
    string Survey,
    MapFiles Files,
    IReadOnlyList<FormulaBand> Bands,
    IReadOnlyList<string> Told
)
{
    /// <exception cref="InputProblemException">No such survey, or no map yet.</exception>
    public static SurveyMap Of(EstateFolder estate, string? survey, CancellationToken cancellation)
    {
        SurveySubject[] surveys = RunOrder.Subjects(estate);
        if (surveys.Length == 0)
        {
            throw new InputProblemException(
                estate.Root,
                "has no survey yet.",
                $"Bring a card with `hillrow survey add {estate.Root} CARD`."
            );
        }

        string wanted = survey ?? surveys[^1].Survey.Id;
        // Finding plants reads the map and nothing later: its inputs are there though there is no block to find plants in.
        SurveySubject subject =
            Array.Find(surveys, one => one.Survey.Id == wanted)
            ?? throw new InputProblemException(
                $"survey \"{wanted}\"",
                "is not in the estate.",
                $"There are: {string.Join(", ", surveys.Select(one => one.Survey.Id))}."
            );
        StepContext context = StepOutside.ContextOf(estate, PlantsStep.Of(subject, []), cancellation);
        MapFiles files = MappingStep.Files(context);
        using RasterFile reflectance = RasterFile.Open(files.Reflectance);
        BroughtBands? brought = subject.BroughtMap;
        return new SurveyMap(
            wanted,
            files,
            IndexMap.BandsOf(reflectance, brought is null ? SurveySubject.Profile(context) : null),
            brought is { ReflectanceOne: null }
                ?
                [
                    "The map's numbers are a picture's, not reflectance: indices compare within it, not with other surveys.",
                ]
                : []
        );
    }

    /// <exception cref="InputProblemException">Not three, or not all bands of the map.</exception>
    public int[] PlacesOf(IReadOnlyList<string> words)
    {
        int[] places = [.. words.Select(word => FormulaBand.Find(Bands, word))];
        return words.Count == 3 && Array.TrueForAll(places, place => place >= 0)
            ? places
            : throw new InputProblemException(
                $"composite \"{string.Join(",", words)}\"",
                words.Count == 3
                    ? $"names {string.Join(" and ", words.Where((_, at) => places[at] < 0).Select(word => $"\"{word}\""))}, which is no band of the map."
                    : "names not three bands.",
                $"Name three, to be shown as red, green and blue, of: {string.Join(", ", Bands.Select(band => band.Name))}."
            );
    }
}
