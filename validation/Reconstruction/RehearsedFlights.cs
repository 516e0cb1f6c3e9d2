using Hillrow.Rehearsal;

namespace Hillrow.Validation.Reconstruction;

/// <summary>
/// Rehearsed flights that the figures of this area share; which estates judge: docs/decisions/0043. Rendering takes most
/// of the time, so flights are kept from run to run under a name that changes with the rehearsal's program; nothing that
/// the stage makes is kept.
/// </summary>
internal static class RehearsedFlights
{
    public const double Hectares = 0.5;

    /// <summary>Asked for; lines of equal length may need fewer.</summary>
    public const int Captures = 18;

    private const ulong JudgingSeed = 4331;

    private const ulong ClosedSeed = 4332;

    /// <summary>Names a folder in which flights are kept; without it they are kept beside other temporary files.</summary>
    private const string KeptFolderVariable = "HILLROW_RECONSTRUCTION_FLIGHTS";

    /// <summary>One of a fixed seed and the drawn one.</summary>
    public static IReadOnlyList<ulong> Seeds(ValidationRun run) =>
        run.Quick ? [run.DrawnSeed] : [JudgingSeed, run.DrawnSeed];

    /// <summary>Conditions of the figures, in words.</summary>
    public static string How(ValidationRun run) =>
        FormattableString.Invariant(
            $"{Seeds(run).Count} rehearsed estates of {Hectares} ha, at most {Captures} captures a date from 65 m; seeds {string.Join(", ", Seeds(run))} (the last one drawn); worst"
        );

    /// <summary>A larger estate with a hedgerow whose crowns close over the ground; small ones have none.</summary>
    public static RehearsedSurvey FlyClosedCanopy(ValidationRun run) => Fly(run, ClosedSeed, 1, 2, 40)[0];

    /// <summary>Flies what is not there yet.</summary>
    /// <param name="run">Who asks.</param>
    /// <param name="seed">Of the estate.</param>
    /// <param name="dates">How many of the estate's dates, from the first.</param>
    public static IReadOnlyList<RehearsedSurvey> Fly(ValidationRun run, ulong seed, int dates) =>
        Fly(run, seed, dates, Hectares, Captures);

    private static List<RehearsedSurvey> Fly(ValidationRun run, ulong seed, int dates, double hectares, int captures)
    {
        RehearsedEstateSettings asked = new() { Seed = seed, Hectares = hectares };
        string root = Path.Combine(
            Environment.GetEnvironmentVariable(KeptFolderVariable) ?? Path.GetTempPath(),
            FormattableString.Invariant($"hillrow-flights-{ProgramMark()}"),
            FormattableString.Invariant($"estate-{seed}")
        );
        RehearsedEstate model = RehearsedEstate.Build(asked);
        string kept = TruthFolder.Beside(root);
        TruthFolder truth = Directory.Exists(kept) ? TruthFolder.Open(kept) : TruthFolder.Create(kept, root, asked);
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
            if (!truth.Has(id + "/flight.json"))
            {
                _ = CardFlight.Fly(
                    model,
                    new CardFlightSettings(id, day, dialect) { Captures = captures },
                    Path.Combine(root + "-cards", id),
                    truth,
                    null,
                    CancellationToken.None
                );
                run.Say($"flown: seed {seed}, {id}");
            }

            flown.Add(RehearsedSurvey.Open(root, id));
        }

        return flown;
    }

    /// <summary>Changes whenever the program that makes the captures is built from other sources.</summary>
    private static string ProgramMark() => typeof(CardFlight).Module.ModuleVersionId.ToString("N")[..8];
}
