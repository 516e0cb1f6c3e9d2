namespace Hillrow.Plants;

/// <summary>Positions of a block as they are found one after the other: plants, gaps, and places hidden from view.</summary>
internal sealed class BlockPositions
{
    public List<FoundPlant> Plants { get; } = [];

    public List<EmptyPosition> Gaps { get; } = [];

    public List<EmptyPosition> Hidden { get; } = [];

    /// <summary>Where plants are known from before that were found again: they must be so still when all is measured.</summary>
    public List<KnownPlace> FoundAgain { get; } = [];

    /// <summary>Canopy evidence of the block's typical plant.</summary>
    public double TypicalEvidence { get; set; } = 1;
}

/// <summary>A plant as found along its row, in block metres.</summary>
internal readonly record struct FoundPlant(int Row, int Slot, double X, double Y, PlantQuality Quality);

/// <summary>Where an earlier survey saw a plant, in block metres.</summary>
/// <param name="Row">As this survey numbers its rows.</param>
/// <param name="Slot">Position in the row.</param>
/// <param name="X">East of the block's west edge.</param>
/// <param name="Y">South of its north edge.</param>
/// <param name="GateMetres">A plant this near is the known one.</param>
/// <param name="SigmaMetres">Standard uncertainty of each coordinate.</param>
internal readonly record struct KnownPlace(
    int Row,
    int Slot,
    double X,
    double Y,
    double GateMetres,
    double SigmaMetres
);
