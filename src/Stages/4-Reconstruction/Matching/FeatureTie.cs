namespace Hillrow.Reconstruction;

/// <summary>One feature seen by two captures.</summary>
/// <param name="First">Feature of the pair's first capture.</param>
/// <param name="Second">Feature of the pair's second capture.</param>
internal readonly record struct FeatureTie(int First, int Second);

/// <summary>All ties of a pair of captures.</summary>
internal sealed record PairTies(CapturePair Pair, IReadOnlyList<FeatureTie> Ties);
