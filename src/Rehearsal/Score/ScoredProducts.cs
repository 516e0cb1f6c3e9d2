namespace Hillrow.Rehearsal;

/// <summary>Names of the public products that the scorer reads: the one place to change when a product is renamed.</summary>
public static class ScoredProducts
{
    public const string Reflectance = "reflectance.tif";

    public const string ReflectanceSigma = "sigma.tif";

    public const string Surface = "surface.tif";

    public const string Ground = "ground.tif";

    public const string Observations = "observations.gpkg";

    /// <summary>Columns of the observations, in the order of preference; the same for the next ones.</summary>
    public static IReadOnlyList<string> Height { get; } = ["top_height_metres", "height_metres"];

    public static IReadOnlyList<string> HeightSigma { get; } =
    ["top_height_sigma_metres", "top_height_metres_sigma", "height_sigma_metres", "height_metres_sigma"];

    public static IReadOnlyList<string> CrownArea { get; } = ["crown_area_square_metres"];

    public static IReadOnlyList<string> CrownAreaSigma { get; } =
    ["crown_area_sigma_square_metres", "crown_area_square_metres_sigma"];

    public static IReadOnlyList<string> FoliageDensity { get; } = ["foliage_density"];

    public static IReadOnlyList<string> FoliageDensitySigma { get; } = ["foliage_density_sigma"];

    public static IReadOnlyList<string> PlaceSigma { get; } = ["place_sigma_metres", "place_metres_sigma"];

    /// <summary>Question under which findings judge single plants.</summary>
    public const string DeclineQuestion = "decline";

    /// <summary>Severity words of plants that decline.</summary>
    public static IReadOnlyList<string> DecliningWords { get; } = ["light", "moderate", "severe"];

    /// <summary>Severity words of plants that were judged sound.</summary>
    public static IReadOnlyList<string> SoundWords { get; } = ["healthy"];
}
