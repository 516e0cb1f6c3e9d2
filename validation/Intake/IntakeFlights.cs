namespace Hillrow.Validation.Intake;

/// <summary>Which rehearsed flights the figures of intake are taken from.</summary>
/// <remarks>
/// The seeds of <see cref="Judging"/> have been looked at by nobody while the stage was built (decision 60); what was tried
/// out was tried on <see cref="Development"/>, which a run takes instead when HILLROW_INTAKE_DEVELOPMENT is set (its figures
/// judge nothing).
/// </remarks>
internal static class IntakeFlights
{
    private static readonly ulong[] Development = [7_001, 7_002, 7_003, 7_004];

    private static readonly ulong[] Judging = [4_074_400, 6_838_125, 6_069_938, 4_614_651];

    public static bool IsDevelopment => Environment.GetEnvironmentVariable("HILLROW_INTAKE_DEVELOPMENT") is not null;

    /// <summary>Some of the fixed flights alone, by seed and split by commas: a part of a run, told as such.</summary>
    public static string? Part => Environment.GetEnvironmentVariable("HILLROW_INTAKE_FLIGHTS");

    /// <summary>Some kinds of planted faults alone, by the names of the trial's parts split by commas.</summary>
    public static string? Kinds => Environment.GetEnvironmentVariable("HILLROW_INTAKE_FAULTS");

    /// <summary>Whether a part of a trial is to be done.</summary>
    public static bool Wants(string kind) => Kinds is not { } kinds || kinds.Split(',').Contains(kind);

    /// <summary>What the figures' texts say of the flights.</summary>
    public static string Told => Kinds is { } kinds ? $"{OfFlights}; only {kinds}" : OfFlights;

    private static string OfFlights =>
        IsDevelopment ? "DEVELOPMENT seeds, judges nothing"
        : Part is { } part ? $"only flights {part}, none drawn"
        : "one seed drawn at this run";

    /// <summary>Four fixed ones, each of another dialect, and the one drawn for this run; the drawn one alone when quick.</summary>
    public static IReadOnlyList<ulong> Seeds(ValidationRun run) =>
        IsDevelopment ? [.. Development.Where(seed => Part is not { } part || part.Split(',').Contains($"{seed}"))]
        : Part is { } part ? [.. Judging.Where(seed => part.Split(',').Contains($"{seed}"))]
        : run.Quick ? [run.DrawnSeed]
        : [.. Judging, run.DrawnSeed];

    /// <summary>Flights of fixed seeds are kept beside the build, the drawn one's in the run's scratch folder.</summary>
    public static FlownCard Of(ulong seed, ValidationRun run) =>
        FlownCard.Fly(
            seed,
            seed == run.DrawnSeed
                ? run.ScratchFolder
                : Path.Combine(TestSupport.RepositoryFiles.Root, "artifacts", "rehearsed-intake"),
            run.Say
        );

    /// <summary>A fixed flight of another dialect.</summary>
    public static FlownCard AnyOther(string dialect, ValidationRun run) =>
        (IsDevelopment ? Development : Judging)
            .Select(seed => Of(seed, run))
            .First(card => card.Dialect.Name != dialect);
}
