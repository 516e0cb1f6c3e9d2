namespace Hillrow.Validation.Intake;

/// <summary>Which rehearsed flights the figures of intake are taken from.</summary>
/// <remarks>
/// The seeds of <see cref="Judging"/> have been looked at by nobody while the stage was built; what was tried out was
/// tried on <see cref="Development"/>, which a run takes instead when HILLROW_INTAKE_DEVELOPMENT is set (its figures
/// judge nothing).
/// </remarks>
internal static class IntakeFlights
{
    private static readonly ulong[] Development = [7_001, 7_002, 7_003, 7_004];

    private static readonly ulong[] Judging = [2_000_003, 2_000_029, 2_000_038, 2_000_084];

    public static bool IsDevelopment => Environment.GetEnvironmentVariable("HILLROW_INTAKE_DEVELOPMENT") is not null;

    /// <summary>Some of the fixed flights alone, by seed and split by commas: a part of a run, told as such.</summary>
    public static string? Part => Environment.GetEnvironmentVariable("HILLROW_INTAKE_FLIGHTS");

    /// <summary>What the figures' texts say of the flights.</summary>
    public static string Told =>
        IsDevelopment ? "DEVELOPMENT seeds, judges nothing"
        : Part is { } part ? $"only flights {part}, none drawn"
        : "one seed drawn at this run";

    /// <summary>Four fixed ones, each of another dialect, and the one drawn for this run; the drawn one alone when quick.</summary>
    public static IReadOnlyList<ulong> Seeds(ValidationRun run) =>
        IsDevelopment ? Development
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
