using Hillrow.Rehearsal;

namespace Hillrow.Validation.Reconstruction;

/// <summary>Flies rehearsals for figures of this area.</summary>
internal static class RehearsedFlights
{
    /// <param name="run">Whose scratch folder is used.</param>
    /// <param name="seed">Of the estate.</param>
    /// <param name="hectares">Of the estate.</param>
    /// <param name="captures">Of each flight.</param>
    /// <param name="dates">How many of the estate's dates are flown, from the first.</param>
    public static IReadOnlyList<RehearsedSurvey> Fly(
        ValidationRun run,
        ulong seed,
        double hectares,
        int captures,
        int dates
    )
    {
        string root = Path.Combine(run.ScratchFolder, $"estate-{seed}");
        RehearsedEstateSettings asked = new() { Seed = seed, Hectares = hectares };
        RehearsedEstate model = RehearsedEstate.Build(asked);
        TruthFolder truth = TruthFolder.Create(TruthFolder.Beside(root), root, asked);
        string cameras = Directory.CreateDirectory(Path.Combine(root, "cameras")).FullName;
        string terrain = Directory.CreateDirectory(Path.Combine(root, "terrain")).FullName;
        CardDialect dialect = CardDialect.All[0];
        File.WriteAllText(
            Path.Combine(cameras, dialect.Name + ".toml"),
            NominalProfile.Of(model.Rig, dialect, model.Panel).ToToml()
        );
        TerrainDraft.Write(model, Path.Combine(terrain, "terrain-30m.tif"));
        List<RehearsedSurvey> flown = [];
        foreach (DateOnly day in asked.Dates.Take(dates))
        {
            string id = FormattableString.Invariant($"{day:yyyy-MM-dd}");
            CardFlight.Fly(
                model,
                new CardFlightSettings(id, day, dialect) { Captures = captures },
                Path.Combine(root + "-cards", id),
                truth,
                null,
                CancellationToken.None
            );
            run.Say($"flown: seed {seed}, {id}");
            flown.Add(RehearsedSurvey.Open(root, id));
        }

        return flown;
    }
}
