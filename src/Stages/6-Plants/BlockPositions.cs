namespace Hillrow.Plants;

/// <summary>Positions of a block as they are found one after the other: plants, gaps, and places hidden from view.</summary>
internal sealed class BlockPositions
{
    public List<FoundPlant> Plants { get; } = [];

    public List<EmptyPosition> Gaps { get; } = [];

    public List<EmptyPosition> Hidden { get; } = [];

    /// <summary>Canopy evidence of the block's typical plant.</summary>
    public double TypicalEvidence { get; set; } = 1;
}

/// <summary>A plant as found along its row, in block metres.</summary>
internal readonly record struct FoundPlant(int Row, int Slot, double X, double Y, PlantQuality Quality);
