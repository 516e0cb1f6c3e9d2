namespace Hillrow.Estate;

/// <summary>Which maps are to be made of a survey's reflectance.</summary>
/// <param name="Indices">Names of the catalogue, or formulas over the bands.</param>
/// <param name="Composites">Each three bands, to be shown as red, green and blue.</param>
/// <param name="Values">Of names in formulas that no band has, such as the ends that a scene-dependent index asks for.</param>
public sealed record MapWishes(
    IReadOnlyList<string> Indices,
    IReadOnlyList<IReadOnlyList<string>> Composites,
    IReadOnlyDictionary<string, double> Values
)
{
    public bool IsEmpty => Indices.Count == 0 && Composites.Count == 0;
}

/// <summary>An index of the catalogue, as a survey's bands allow it.</summary>
/// <param name="Name">By which it is asked for.</param>
/// <param name="Formula">Over blue, green, red, rededge, nir.</param>
/// <param name="WhyNot">What is wanting; null when it can be made as it is.</param>
/// <param name="Note">What to know before use; may be empty.</param>
public sealed record OfferedIndex(string Name, string Formula, string? WhyNot, string Note);
