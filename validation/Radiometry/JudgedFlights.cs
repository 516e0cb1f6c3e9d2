using System.Globalization;
using Hillrow.Imaging;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Radiometry;

/// <summary>The flights that radiometry is judged on, one estate a seed; what each is for: docs/decisions/0033.</summary>
internal static class JudgedFlights
{
    public const string Morning = "morning";
    public const string Noon = "noon";
    public const string Afternoon = "afternoon";
    public const string Cloud = "cloud";

    /// <summary>Nothing is tuned on these, nor on the seed that is drawn at each run; 8101 to 8108 have been seen (decision 0035).</summary>
    public static IReadOnlyList<ulong> JudgingSeeds { get; } = [8109, 8110];

    /// <summary>The first so many of them, where a machine has no time for all; the run says how many it judged.</summary>
    private const string SeedsVariable = "HILLROW_RADIOMETRY_SEEDS";

    public static IReadOnlyList<ulong> Seeds(ValidationRun run) =>
        run.Quick ? DevelopmentSeeds
        : int.TryParse(
            Environment.GetEnvironmentVariable(SeedsVariable),
            NumberStyles.None,
            CultureInfo.InvariantCulture,
            out int many
        )
            ? [.. JudgingSeeds.Append(run.DrawnSeed).Take(Math.Max(1, many))]
        : [.. JudgingSeeds, run.DrawnSeed];

    /// <summary>Looked at while the stage was made; the quick run measures on them.</summary>
    public static IReadOnlyList<ulong> DevelopmentSeeds { get; } = [71];

    /// <summary>Names a folder in which flown estates are kept from run to run; without it they are flown anew.</summary>
    private const string KeptFolderVariable = "HILLROW_RADIOMETRY_FLIGHTS";

    private const double Hectares = 0.8;
    private const int Captures = 12;

    public static IReadOnlyList<string> Names { get; } = [Morning, Cloud, Afternoon, Noon];

    /// <summary>Flies what is not there yet, and opens it as the stage takes it.</summary>
    public static IReadOnlyDictionary<string, JudgedFlight> Of(ValidationRun run, ulong seed)
    {
        string folder = Environment.GetEnvironmentVariable(KeptFolderVariable) ?? run.ScratchFolder;
        string root = Path.Combine(folder, FormattableString.Invariant($"estate-{seed}"));
        RehearsedEstateSettings asked = new() { Seed = seed, Hectares = Hectares };
        RehearsedEstate model = RehearsedEstate.Build(asked);
        string kept = TruthFolder.Beside(root);
        TruthFolder truth = Directory.Exists(kept) ? TruthFolder.Open(kept) : TruthFolder.Create(kept, root, asked);
        CardDialect dialect = CardDialect.All[0];
        Dictionary<string, JudgedFlight> flights = [];
        foreach (string name in Names)
        {
            string card = root + "-card-" + name;
            CardFlightSettings settings = new(name, asked.Dates[0], dialect)
            {
                Captures = Captures,
                Start = new DateTimeOffset(asked.Dates[0], StartOf(name), TimeSpan.Zero),
                CloudCover = name == Cloud ? 0.5 : 0,
                CloudTransmittance = 0.4,
                TruthCellMetres = 0.25,
            };
            if (!truth.Has(name + "/flight.json"))
            {
                CardFlight.Fly(model, settings, card, truth, null, CancellationToken.None);
                run.Say($"  flown: seed {seed}, {name}");
            }

            flights[name] = JudgedFlight.Open(name, card, model, truth, dialect);
        }

        return flights;
    }

    private static TimeOnly StartOf(string name) =>
        name switch
        {
            Morning => new TimeOnly(13, 20),
            Noon => new TimeOnly(15, 50),
            Afternoon => new TimeOnly(18, 20),
            _ => new TimeOnly(14, 30),
        };
}
