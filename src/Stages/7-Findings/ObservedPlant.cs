using Hillrow.Earth;

namespace Hillrow.Findings;

/// <summary>One plant of one survey as Findings needs it. NaN in a measure: not measured; its sigma then means nothing.</summary>
/// <param name="Number">The plant's number in the ledger.</param>
/// <param name="Block">Name of its block.</param>
/// <param name="Place">Stem, in the estate's grid.</param>
/// <param name="ElevationMetres">Ground height; only differences count.</param>
/// <param name="Measures">By measure, in the order of <see cref="VigourMeasure"/>.</param>
/// <param name="IsYoung">Planted since its block was first surveyed and still small: not judged against grown peers.</param>
public sealed record ObservedPlant(
    long Number,
    string Block,
    GridPoint Place,
    double ElevationMetres,
    IReadOnlyList<Measured> Measures,
    bool IsYoung = false
)
{
    public Measured Of(VigourMeasure measure) =>
        (int)measure < Measures.Count ? Measures[(int)measure] : Measured.Missing;
}

/// <summary>A value with one standard error.</summary>
public readonly record struct Measured(double Value, double Sigma)
{
    public static Measured Missing { get; } = new(double.NaN, double.NaN);
}

/// <summary>What a declining plant loses: leaf green, leaves, size, density.</summary>
public enum VigourMeasure
{
    /// <summary>Red-edge index: chlorophyll.</summary>
    Ndre,

    /// <summary>Foliage amount and cover.</summary>
    Ndvi,

    /// <summary>Natural logarithm of the crown area in square metres: a loss is a share, whatever the plant's age.</summary>
    LogCrownArea,

    /// <summary>Share of the crown's outline that is leaf, 0 … 1.</summary>
    FoliageDensity,
}
