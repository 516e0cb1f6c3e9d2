using Hillrow.Earth;

namespace Hillrow.Estate;

/// <summary>What a person asks of a plan, beside the planning settings.</summary>
public sealed record PlanWishes
{
    /// <summary>Names of blocks; empty takes all.</summary>
    public IReadOnlyList<string> Blocks { get; init; } = [];

    /// <summary>Polygons to fly over instead of blocks: patches, holes to fly again, a drawn area.</summary>
    public string? TargetsFile { get; init; }

    /// <summary>Widens targets: a patch is wanted with its surroundings.</summary>
    public double TargetMarginMetres { get; init; } = 5;

    public IReadOnlyList<GeographicPoint> Homes { get; init; } = [];

    /// <summary>GeoJSON of homes, no-fly areas, obstacles and tracks; null takes the estate's flights/site.geojson when there.</summary>
    public string? SiteFile { get; init; }

    /// <summary>Aircraft profile; null takes the estate's only one, or the cautious one.</summary>
    public string? AircraftFile { get; init; }

    /// <summary>A camera profile of the estate by name, or a file; null takes its only one.</summary>
    public string? Camera { get; init; }

    public string? Band { get; init; }

    /// <summary>A finer ground (GeoTIFF, heights above the ellipsoid unless it says otherwise), as an earlier survey made it.</summary>
    public string? SurfaceFile { get; init; }

    public double SurfaceSigmaMetres { get; init; } = 0.5;
}
