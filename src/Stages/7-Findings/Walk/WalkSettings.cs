namespace Hillrow.Findings;

/// <summary>Settings of the walk list; each default says why.</summary>
public sealed record WalkSettings
{
    /// <summary>Patches that are dug in, largest first: a day's work for two people (common practice, no source).</summary>
    public int MostPatches { get; init; } = 12;

    /// <summary>From so many plants on a patch is dug a second time, where it grows.</summary>
    public int LargePatch { get; init; } = 15;

    /// <summary>Newly declining plants outside patches that are looked at, worst first.</summary>
    public int LookAlone { get; init; } = 6;

    /// <summary>Plants near the threshold: their answers teach it most.</summary>
    public int LookDoubtful { get; init; } = 8;

    /// <summary>Plants that seem sound: without them nobody learns what the map overlooks.</summary>
    public int LookSound { get; init; } = 6;

    /// <summary>Cell of the ground that is walked: finer than a row's spacing tells nothing more.</summary>
    public double CellMetres { get; init; } = 4;

    /// <summary>Cells become larger on a large estate, so that the ways are found in seconds.</summary>
    public int MostCells { get; init; } = 60_000;

    public ulong Seed { get; init; } = 20_260_101;
}
