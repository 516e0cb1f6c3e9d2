namespace Hillrow.Plants;

/// <summary>What a search for rows gave, before anything is measured.</summary>
/// <param name="Positions">Null when no rows were found.</param>
/// <param name="Spacing">Planting distance, metres.</param>
/// <param name="RowSpacing">Distance of rows, metres.</param>
/// <param name="Rows">Their lines.</param>
/// <param name="Doubts">For the person, a sentence each.</param>
internal sealed record RowsFound(
    BlockPositions? Positions,
    double Spacing,
    double RowSpacing,
    IReadOnlyList<PlantRow> Rows,
    List<string> Doubts
)
{
    public LabelTrial? Learning { get; init; }

    /// <summary>Why the block is to be looked at plant by plant; null otherwise.</summary>
    public string? Scattered { get; init; }

    /// <summary>Why there is nothing, when there is nothing.</summary>
    public string Refusal { get; init; } = "";

    public static RowsFound None(string refusal) => new(null, double.NaN, double.NaN, [], []) { Refusal = refusal };

    /// <summary>Nothing found, on the rows that an earlier survey saw.</summary>
    public static RowsFound Known(EarlierPlants earlier, string doubt) =>
        new(new BlockPositions(), earlier.PlantSpacingMetres, earlier.RowSpacingMetres, earlier.Rows, [doubt]);
}
