namespace Hillrow.Mapping;

/// <summary>One index of the catalogue.</summary>
/// <param name="Name">As in the literature; formulas and files call it so.</param>
/// <param name="Alias">Another name it is found by; may be empty.</param>
/// <param name="Formula">Over blue, green, red, rededge, nir.</param>
/// <param name="Source">Author and year; "from memory" where the paper was not at hand.</param>
/// <param name="Doi">May be empty.</param>
/// <param name="Worked">Value at blue 0.03, green 0.08, red 0.04, rededge 0.20, nir 0.45; null when no published one is known.</param>
/// <param name="IsScaleInvariant">Whether multiplying all bands by one factor leaves it unchanged (a wrong panel then does no harm).</param>
/// <param name="Parameters">Names whose values must be given, taken from the scene; empty for most.</param>
/// <param name="Note">What to know before use; may be empty.</param>
public sealed record VegetationIndex(
    string Name,
    string Alias,
    string Formula,
    string Source,
    string Doi,
    double? Worked,
    bool IsScaleInvariant,
    IReadOnlyList<string> Parameters,
    string Note
)
{
    /// <summary>Whether values depend on the rest of the scene: maps of two dates then do not compare.</summary>
    public bool DependsOnScene => Parameters.Count > 0;

    /// <summary>The formula over the bands of a map.</summary>
    /// <param name="bands">Bands of the map.</param>
    /// <param name="parameters">Values for <see cref="Parameters"/>; null when there are none.</param>
    /// <exception cref="Hillrow.Numerics.InputProblemException">The camera lacks a band, or a parameter is not given.</exception>
    public IndexFormula Over(
        IReadOnlyList<FormulaBand> bands,
        IReadOnlyDictionary<string, double>? parameters = null
    ) => IndexFormula.Parse(Formula, bands, parameters, "index " + Name);
}
