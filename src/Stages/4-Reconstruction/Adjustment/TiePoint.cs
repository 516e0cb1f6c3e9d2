using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>A track with its place on the ground.</summary>
/// <param name="Place">Local metres.</param>
/// <param name="Sightings">At least two, of different captures.</param>
internal sealed record TiePoint(Vector3D Place, IReadOnlyList<Sighting> Sightings)
{
    /// <summary>Where an earlier survey has the same spot; null when it has not.</summary>
    public KnownPlace? Known { get; init; }
}
