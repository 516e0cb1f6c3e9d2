using Hillrow.Numerics;

namespace Hillrow.Plants;

/// <summary>How plants are found and measured. Lengths in metres on the ground.</summary>
public sealed record PlantsSettings
{
    /// <summary>Threads at most; the result does not depend on them.</summary>
    public int Threads { get; init; } = Environment.ProcessorCount;

    /// <summary>Row spacings looked for when a block states none: from shrubs at 1.2 m to trees at 8 m.</summary>
    public double LeastRowSpacingMetres { get; init; } = 1.2;

    public double LargestRowSpacingMetres { get; init; } = 5;

    /// <summary>Canopy starts this high: above most weeds, below a plant one year after planting.</summary>
    public double LeastCanopyHeightMetres { get; init; } = 0.35;

    /// <summary>The vegetation threshold is found by itself (two classes) but kept between these values of NDVI.</summary>
    public double LeastVegetationNdvi { get; init; } = 0.3;

    public double LargestVegetationNdvi { get; init; } = 0.6;

    /// <summary>Canopy this many times as high as the block's typical canopy, over several plants' area, is a shade tree.</summary>
    public double ShadeTreeHeightRatio { get; init; } = 1.9;

    /// <summary>A slot holds a plant when its canopy reaches this share of the block's typical plant.</summary>
    public double PlantEvidenceShare { get; init; } = 0.42;

    /// <summary>Longest stretch without canopy over which a row is followed.</summary>
    public double LongestBlindStretchMetres { get; init; } = 12;

    /// <summary>Pixels more shadowed than this do not enter band statistics.</summary>
    public double ShadowLimit { get; init; } = 0.5;

    /// <summary>For blocks without rows.</summary>
    public ScatteredSettings Scattered { get; init; } = new();

    /// <exception cref="InputProblemException">All broken rules together.</exception>
    public PlantsSettings Checked()
    {
        List<string> broken = [];
        if (Threads < 1)
        {
            broken.Add($"threads {Threads} (at least 1)");
        }

        if (
            !(
                LeastRowSpacingMetres > 0.3
                && LargestRowSpacingMetres > LeastRowSpacingMetres
                && LargestRowSpacingMetres <= 20
            )
        )
        {
            broken.Add(
                $"row spacing {LeastRowSpacingMetres} … {LargestRowSpacingMetres} m (0.3 < least < largest ≤ 20)"
            );
        }

        if (
            !(
                LeastVegetationNdvi is > -1 and < 1
                && LargestVegetationNdvi >= LeastVegetationNdvi
                && LargestVegetationNdvi < 1
            )
        )
        {
            broken.Add($"vegetation NDVI {LeastVegetationNdvi} … {LargestVegetationNdvi} (-1 < least ≤ largest < 1)");
        }

        if (
            !(
                LeastCanopyHeightMetres > 0
                && ShadeTreeHeightRatio > 1
                && PlantEvidenceShare is > 0 and < 1
                && ShadowLimit is > 0 and <= 1
                && LongestBlindStretchMetres > 0
            )
        )
        {
            broken.Add(
                "canopy height, shade tree ratio, evidence share, shadow limit and blind stretch must be above 0 (shares below 1, ratio above 1)"
            );
        }

        return broken.Count == 0
            ? this
            : throw new InputProblemException("Settings of plants", string.Join("; ", broken) + ".", "Change them.");
    }
}
