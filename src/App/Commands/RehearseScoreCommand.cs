using System.CommandLine;
using System.Globalization;
using Hillrow.Earth;
using Hillrow.Estate;
using Hillrow.Mapping;
using Hillrow.Rehearsal;

namespace Hillrow.App.Commands;

/// <summary>Judges what the job made of a rehearsal, by its truth.</summary>
internal static class RehearseScoreCommand
{
    public static Command Create(CommandOutput speech)
    {
        Argument<string> folder = Given.Estate();
        Option<string?> truth = RehearseEstateCommand.TruthOption();
        Command command = new("score", "Compare the estate's maps, plants and findings with the truth.")
        {
            folder,
            truth,
        };
        command.SetAction(parsed =>
        {
            string root = parsed.GetRequiredValue(folder);
            EstateFolder estate = EstateFolder.Open(root);
            TruthFolder kept = TruthFolder.Open(parsed.GetValue(truth) ?? TruthFolder.Beside(root));
            RehearsalScore score = ScoreOf(estate, kept);
            Tell(speech, score);
            speech.Result(Shape(score, ok: true));
            return ExitCodes.Done;
        });
        return command;
    }

    /// <summary>What the job made of the estate, by its truth; the job itself has ended and sees none of it.</summary>
    internal static RehearsalScore ScoreOf(EstateFolder estate, TruthFolder truth) =>
        RehearsalScorer.Score(
            [.. truth.FlightIds().Select(id => Products(estate, id))],
            id => SurveyTruth.Read(truth, id),
            Environment.ProcessorCount
        );

    internal static object Shape(RehearsalScore score, bool ok) =>
        new
        {
            ok,
            surveys = score.Surveys.ToDictionary(pair => pair.Key, pair => pair.Value.Figures),
            estate = score.Estate.Figures,
            missing = score
                .Surveys.Append(new KeyValuePair<string, ScoreSheet>("estate", score.Estate))
                .ToDictionary(pair => pair.Key, pair => pair.Value.Missing),
        };

    internal static void Tell(CommandOutput speech, RehearsalScore score)
    {
        foreach ((string id, ScoreSheet sheet) in score.Surveys)
        {
            speech.Line(id);
            Tell(speech, sheet);
        }

        speech.Line("estate");
        Tell(speech, score.Estate);
    }

    private static void Tell(CommandOutput speech, ScoreSheet sheet)
    {
        foreach ((string name, double? value) in sheet.Figures)
        {
            speech.Line(
                value is { } number
                    ? string.Create(CultureInfo.InvariantCulture, $"  {name} {number:0.#####}")
                    : $"  {name} none: {sheet.Missing[name]}"
            );
        }
    }

    private static SurveyProducts Products(EstateFolder estate, string id)
    {
        ScoredMap? Map(string file) =>
            SurveyProductsReader.FileOf(estate, id, file) is { } path ? ScoredMap.Open(path) : null;
        string? observations = SurveyProductsReader.FileOf(estate, id, ScoredProducts.Observations);
        IReadOnlyList<PlantVerdictRow> verdicts = SurveyProductsReader.VerdictsOf(
            estate,
            id,
            ScoredProducts.DeclineQuestion
        );
        return new SurveyProducts(id)
        {
            Reflectance = Map(ScoredProducts.Reflectance),
            ReflectanceSigma = Map(ScoredProducts.ReflectanceSigma)
                ?.Decoded(code => code is >= 0 and <= 255 ? SigmaCode.Decode((byte)code) : float.NaN),
            Surface = Map(ScoredProducts.Surface),
            Ground = Map(ScoredProducts.Ground),
            Plants = observations is null ? null : Plants(observations, verdicts),
            Gaps = observations is null ? null : SurveyProductsReader.GapsOf(observations),
            HasFindings = verdicts.Count > 0,
        };
    }

    private static List<FoundPlant> Plants(string file, IReadOnlyList<PlantVerdictRow> verdicts)
    {
        (IReadOnlyList<ObservationColumn> columns, IReadOnlyList<PlantObservation> rows) = ObservationsFile.Read(file);
        Dictionary<string, int> places = columns
            .Select((column, index) => (column.Name, index))
            .ToDictionary(pair => pair.Name, pair => pair.index);
        Dictionary<long, PlantVerdictRow> verdictOf = verdicts
            .GroupBy(verdict => verdict.Plant)
            .ToDictionary(group => group.Key, group => group.Last());

        double? Value(PlantObservation plant, IReadOnlyList<string> names) =>
            names.FirstOrDefault(places.ContainsKey) is { } name
            && plant.Values[places[name]] is var value
            && double.IsFinite(value)
                ? value
                : null;

        return
        [
            .. rows.Select(plant =>
            {
                PlantVerdictRow? verdict = verdictOf.GetValueOrDefault(plant.Plant);
                return new FoundPlant(plant.Plant, new GridPoint(plant.Place.EastingMetres, plant.Place.NorthingMetres))
                {
                    PlaceSigmaMetres = Value(plant, ScoredProducts.PlaceSigma),
                    HeightMetres = Value(plant, ScoredProducts.Height),
                    HeightSigmaMetres = Value(plant, ScoredProducts.HeightSigma),
                    CrownAreaSquareMetres = Value(plant, ScoredProducts.CrownArea),
                    CrownAreaSigmaSquareMetres = Value(plant, ScoredProducts.CrownAreaSigma),
                    FoliageDensity = Value(plant, ScoredProducts.FoliageDensity),
                    FoliageDensitySigma = Value(plant, ScoredProducts.FoliageDensitySigma),
                    Departure = verdict?.Value is { } told && double.IsFinite(told) ? told : null,
                    IsDeclining =
                        verdict is null ? null
                        : ScoredProducts.DecliningWords.Contains(verdict.Severity.ToLowerInvariant()) ? true
                        : ScoredProducts.SoundWords.Contains(verdict.Severity.ToLowerInvariant()) ? false
                        : null,
                };
            }),
        ];
    }
}
