using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Mapping;

/// <summary>How the map is laid.</summary>
public sealed record MappingSettings
{
    /// <summary>Side of a patch, the smallest piece that changes capture as a whole. 0.5 m is a third of a coffee crown: seams can run between rows.</summary>
    public double PatchMetres { get; init; } = 0.5;

    /// <summary>Captures weighed for each patch. With 80 % overlap both ways about 25 see a place; the 6 best leave no hole that 12 would fill on canopy.</summary>
    public int CandidatesPerPatch { get; init; } = 6;

    /// <summary>Cost of the squared tangent of the angle off nadir. The unit of all costs.</summary>
    public double NadirWeight { get; init; } = 1;

    /// <summary>Cost of the squared distance from the frame's middle (1 at the corner): lens errors and falloff grow there.</summary>
    public double FrameEdgeWeight { get; init; } = 0.1;

    /// <summary>Pixels left unused along every frame's edge: enough for the filters of earlier stages.</summary>
    public double FrameMarginPixels { get; init; } = 8;

    /// <summary>Cost of one patch side of seam over flat ground; a seam moves about 1 m for a gain of this size.</summary>
    public double SeamWeight { get; init; } = 0.01;

    /// <summary>How much dearer a seam is across a metre of relief: 8 lets it walk round a crown four patches wide.</summary>
    public double SeamReliefWeightPerMetre { get; init; } = 8;

    /// <summary>
    /// Cost of one patch side of seam where the two captures differ by the whole of their reflectance, as under one sun from straight above.
    /// 0: seams are led by relief alone, and no frame is read for it.
    /// </summary>
    public double SeamDifferenceWeight { get; init; } = 2;

    /// <summary>Rounds of smoothing; most patches are settled after 5.</summary>
    public int SmoothingRounds { get; init; } = 12;

    /// <summary>The line of sight starts this much above the surface, so that noise of the surface does not hide the place from the camera.</summary>
    public double SightToleranceMetres { get; init; } = 0.15;

    /// <summary>As above for the line to the sun.</summary>
    public double ShadowToleranceMetres { get; init; } = 0.05;

    /// <summary>Bilinear by default: cubic convolution is sharper but overshoots beside bright soil.</summary>
    public ResamplingMethod Resampling { get; init; } = ResamplingMethod.Bilinear;

    /// <summary>Deflate level of the files; 1 costs 5 % more disk than 6 and a quarter of the time.</summary>
    public int CompressionLevel { get; init; } = 1;

    /// <summary>Edge of a tile of the files in cells.</summary>
    public int TileSize { get; init; } = 512;

    /// <summary>Threads; 0 for all cores. The files do not depend on it.</summary>
    public int Threads { get; init; }

    /// <exception cref="InputProblemException">All broken rules, together.</exception>
    public MappingSettings Checked()
    {
        List<string> broken = [];
        void Require(bool holds, string rule)
        {
            if (!holds)
            {
                broken.Add(rule);
            }
        }

        Require(PatchMetres is > 0 and <= 20, $"PatchMetres {PatchMetres} (above 0, at most 20)");
        Require(CandidatesPerPatch is >= 1 and <= 32, $"CandidatesPerPatch {CandidatesPerPatch} (1 … 32)");
        Require(NadirWeight is >= 0 and <= 1e6, $"NadirWeight {NadirWeight} (0 or more)");
        Require(FrameEdgeWeight is >= 0 and <= 1e6, $"FrameEdgeWeight {FrameEdgeWeight} (0 or more)");
        Require(FrameMarginPixels is >= 1 and <= 1e5, $"FrameMarginPixels {FrameMarginPixels} (1 or more)");
        Require(SeamWeight is >= 0 and <= 1e6, $"SeamWeight {SeamWeight} (0 or more)");
        Require(
            SeamReliefWeightPerMetre is >= 0 and <= 1e6,
            $"SeamReliefWeightPerMetre {SeamReliefWeightPerMetre} (0 or more)"
        );
        Require(SeamDifferenceWeight is >= 0 and <= 1e6, $"SeamDifferenceWeight {SeamDifferenceWeight} (0 or more)");
        Require(SmoothingRounds is >= 0 and <= 1000, $"SmoothingRounds {SmoothingRounds} (0 … 1000)");
        Require(SightToleranceMetres is >= 0 and <= 10, $"SightToleranceMetres {SightToleranceMetres} (0 … 10)");
        Require(ShadowToleranceMetres is >= 0 and <= 10, $"ShadowToleranceMetres {ShadowToleranceMetres} (0 … 10)");
        Require(
            Resampling is ResamplingMethod.Bilinear or ResamplingMethod.Bicubic,
            $"Resampling {Resampling} (Bilinear or Bicubic)"
        );
        Require(CompressionLevel is >= 1 and <= 9, $"CompressionLevel {CompressionLevel} (1 … 9)");
        Require(
            TileSize is >= 64 and <= 4096 && TileSize % 64 == 0,
            $"TileSize {TileSize} (a multiple of 64, 64 … 4096)"
        );
        Require(Threads >= 0, $"Threads {Threads} (0 or more)");
        return broken.Count == 0
            ? this
            : throw new InputProblemException(
                "mapping settings",
                string.Join("; ", broken) + ".",
                "Give values within the ranges named."
            );
    }
}
