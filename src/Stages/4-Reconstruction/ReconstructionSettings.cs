using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>How a survey's geometry is reconstructed. Every default says why.</summary>
public sealed record ReconstructionSettings
{
    /// <summary>Threads used; results do not depend on it.</summary>
    public int Threads { get; init; } = Math.Max(1, Environment.ProcessorCount);

    /// <summary>Of a recorded position that does not tell its own: a plain receiver under open sky.</summary>
    public double HorizontalSigmaMetres { get; init; } = 1.5;

    /// <summary>Of a recorded height that does not tell its own; satellites are all above, so twice the horizontal.</summary>
    public double VerticalSigmaMetres { get; init; } = 3;

    /// <summary>Of a recorded attitude: small aircraft sensors and their mounting, 3°.</summary>
    public double RotationSigmaDegrees { get; init; } = 3;

    /// <summary>What heights are measured from when captures do not say: receivers show sea level by default.</summary>
    public VerticalReference UnknownHeightReference { get; init; } = VerticalReference.Egm96Geoid;

    /// <summary>Only puts the local frame's origin near the ground; no result depends on it beyond rounding.</summary>
    public double TypicalHeightAboveGroundMetres { get; init; } = 80;

    /// <summary>Features kept in a frame; 2500 spread evenly give each capture some hundred ties to every neighbour.</summary>
    public int FeaturesPerCapture { get; init; } = 2500;

    /// <summary>Least share of a frame that must be seen by another for the two to be matched.</summary>
    public double LeastOverlap { get; init; } = 0.15;

    /// <summary>Most partners each capture is matched with; the best overlapping come first.</summary>
    public int PartnersPerCapture { get; init; } = 20;

    /// <summary>Standard error of a sharp feature's place; distinct spots are found to about half a pixel on leaves.</summary>
    public double FeatureSigmaPixels { get; init; } = 0.5;

    /// <summary>
    /// Standard error of a feature's place that grows with its size (diameter): what stands up within it looks different
    /// from elsewhere, and leaves move. Beside <see cref="FeatureSigmaPixels"/>.
    /// </summary>
    public double FeatureSigmaShare { get; init; } = 0.04;

    /// <summary>Fewest ties with the others that place a capture. Six numbers are sought; a dozen ties tell errors.</summary>
    public int LeastTiesPerCapture { get; init; } = 12;

    /// <summary>Captures whose bands are tied to the reference band to solve the rig once for the survey.</summary>
    public int RigCaptures { get; init; } = 12;

    /// <summary>False: poses and rig alone, for a quick look; surfaces are then null.</summary>
    public bool MeasureSurface { get; init; } = true;

    /// <summary>Cell of the surface in pixels, on the ground, of the pictures that heights are matched in (frames above six megapixels are reduced).</summary>
    public double SurfaceCellPixels { get; init; } = 2;

    /// <summary>Edge of a surface cell; null takes <see cref="SurfaceCellPixels"/> of the survey's own ground sample.</summary>
    public double? SurfaceCellMetres { get; init; }

    /// <summary>Pictures each capture's surface is matched with.</summary>
    public int SurfacePartners { get; init; } = 4;

    /// <summary>Lowest the surface may lie under the smooth surface of the tie points.</summary>
    public double SearchBelowMetres { get; init; } = 4;

    /// <summary>Highest the surface may stand over the smooth surface of the tie points: shade trees.</summary>
    public double SearchAboveMetres { get; init; } = 12;

    /// <summary>
    /// Features of larger diameter are placed half as sharply as the sharpest, or worse: a quarter of the weight, for as
    /// much computing. They serve the rough placing only.
    /// </summary>
    public double LargestSharpPixels =>
        FeatureSigmaShare > 0 ? Math.Sqrt(3) * FeatureSigmaPixels / FeatureSigmaShare : double.PositiveInfinity;

    /// <summary>Standard error of a feature's place, pixels.</summary>
    /// <param name="sizePixels">Its diameter.</param>
    public double SightSigmaPixels(double sizePixels)
    {
        double bySize = FeatureSigmaShare * sizePixels;
        return Math.Sqrt((FeatureSigmaPixels * FeatureSigmaPixels) + (bySize * bySize));
    }

    /// <exception cref="InputProblemException">A setting is out of its range; all are told.</exception>
    public ReconstructionSettings Checked()
    {
        List<string> wrong = [];
        void Must(bool holds, string rule)
        {
            if (!holds)
            {
                wrong.Add(rule);
            }
        }

        Must(Threads >= 1, "threads: at least 1");
        Must(HorizontalSigmaMetres > 0 && VerticalSigmaMetres > 0, "position sigmas: above 0 m");
        Must(RotationSigmaDegrees is > 0 and <= 180, "rotation sigma: above 0°, at most 180°");
        Must(UnknownHeightReference != VerticalReference.Unknown, "unknown height reference: ellipsoid or geoid");
        Must(FeaturesPerCapture is >= 100 and <= 20000, "features per capture: 100 … 20000");
        Must(LeastOverlap is > 0 and < 1, "least overlap: between 0 and 1");
        Must(PartnersPerCapture >= 2, "partners per capture: at least 2");
        Must(FeatureSigmaPixels > 0, "feature sigma: above 0 pixels");
        Must(FeatureSigmaShare >= 0, "feature sigma by size: at least 0");
        Must(LeastTiesPerCapture >= 6, "least ties per capture: at least 6");
        Must(RigCaptures >= 1, "rig captures: at least 1");
        Must(SurfaceCellPixels >= 1, "surface cell: at least 1 pixel");
        Must(SurfaceCellMetres is null or > 0, "surface cell: above 0 m");
        Must(SurfacePartners is >= 1 and <= 8, "surface partners: 1 … 8");
        Must(SearchBelowMetres > 0 && SearchAboveMetres > 0, "search below and above: above 0 m");
        return wrong.Count == 0
            ? this
            : throw new InputProblemException(
                "settings of the reconstruction",
                string.Join("; ", wrong),
                "Set them within their ranges."
            );
    }
}
