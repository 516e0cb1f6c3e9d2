namespace Hillrow.Radiometry;

/// <summary>What overlapping captures say on top of panel and sensor; a part of <see cref="Calibration"/>.</summary>
/// <param name="NodeRows">Light nodes of a frame, from its upper to its lower edge; 1 × 1 for a light that is even over the frame.</param>
/// <param name="NodeColumns">From left to right.</param>
/// <param name="Captures">One for every capture and band that was adjusted.</param>
/// <param name="Lenses">One a band.</param>
/// <param name="Angles">One a band.</param>
/// <param name="Agreements">One a band: how well captures agree before and after.</param>
/// <param name="SigmaRows">Places of a frame with a standard error of their own, upper to lower edge.</param>
/// <param name="SigmaColumns">From left to right.</param>
public sealed record LightAdjustment(
    int NodeRows,
    int NodeColumns,
    IReadOnlyList<CaptureLight> Captures,
    IReadOnlyList<LensCorrection> Lenses,
    IReadOnlyList<ViewAngleModel> Angles,
    IReadOnlyList<OverlapAgreement> Agreements,
    int SigmaRows = 1,
    int SigmaColumns = 1
)
{
    /// <summary>Of the captures above the ground, median: bands are laid on one another at this distance.</summary>
    public double HeightMetres { get; init; } = 60;
}

/// <summary>One frame's light: reflectance = (found − offset) · e^(gain(place) − lens(place)).</summary>
/// <param name="CaptureId">Of the capture.</param>
/// <param name="Band">Name in the profile.</param>
/// <param name="LogGains">At the nodes, row by row; bilinear between.</param>
/// <param name="Offset">Stray light of the lens and of the air, reflectance.</param>
/// <param name="RelativeSigma">Standard error of the gain, root mean square over the frame; takes the place of the frame factor's.</param>
/// <param name="OffsetSigma">Of the offset.</param>
public sealed record CaptureLight(
    string CaptureId,
    string Band,
    IReadOnlyList<double> LogGains,
    double Offset,
    double RelativeSigma,
    double OffsetSigma
)
{
    /// <summary>Standard error of the gain at the adjustment's sigma places, row by row; empty: the same everywhere.</summary>
    public IReadOnlyList<double> NodeSigmas { get; init; } = [];
}

/// <summary>What the lens loses beyond the profile: found reflectance is too bright by e^(…), r 1 at the half diagonal.</summary>
/// <param name="Band">Name in the profile.</param>
/// <param name="Square">Of r².</param>
/// <param name="Fourth">Of r⁴.</param>
/// <param name="Across">Of the place across, −1 at the left edge … 1 at the right.</param>
/// <param name="Down">Of the place down.</param>
/// <param name="CornerSigma">Relative standard error that is left at the corner; it grows with r².</param>
public sealed record LensCorrection(
    string Band,
    double Square,
    double Fourth,
    double Across,
    double Down,
    double CornerSigma
)
{
    /// <summary>Logarithm of how much too bright.</summary>
    /// <param name="across">−1 … 1.</param>
    /// <param name="down">−1 … 1.</param>
    /// <param name="diagonalSquared">r².</param>
    public double At(double across, double down, double diagonalSquared) =>
        (Square * diagonalSquared) + (Fourth * diagonalSquared * diagonalSquared) + (Across * across) + (Down * down);
}

/// <summary>Weights of the view-angle kernels in the logarithm of reflectance.</summary>
/// <param name="Volume">Of <see cref="ViewAngleKernels.Volume"/>.</param>
/// <param name="Geometry">Of <see cref="ViewAngleKernels.Geometry"/>.</param>
/// <param name="Slant">Of <see cref="ViewAngleKernels.Slant"/>.</param>
public sealed record ViewAngleWeights(double Volume, double Geometry, double Slant)
{
    /// <summary>Logarithm of how much brighter a surface is than one without any change with angle.</summary>
    public double Of(ViewAngleKernels kernels) =>
        (Volume * kernels.Volume) + (Geometry * kernels.Geometry) + (Slant * kernels.Slant);
}

/// <summary>How a band's reflectance changes with sun and view.</summary>
/// <param name="Band">Name in the profile.</param>
/// <param name="Canopy">Of canopy, by its own pixels.</param>
/// <param name="Soil">Of open ground.</param>
public sealed record ViewAngleModel(string Band, ViewAngleWeights Canopy, ViewAngleWeights Soil);

/// <summary>How well overlapping captures agree about the same places.</summary>
/// <param name="Band">Name in the profile.</param>
/// <param name="Looks">Looks at places that at least two captures saw.</param>
/// <param name="Before">Robust relative scatter of a capture's mean about the others', before.</param>
/// <param name="After">After, view angle and lens taken off.</param>
/// <param name="LevelSigma">Relative standard error of the survey's level from the light alone, without certificate.</param>
public sealed record OverlapAgreement(string Band, int Looks, double Before, double After, double LevelSigma)
{
    /// <summary>What areas of frames still disagree by beyond what single looks do: shade that was not taken off.</summary>
    public double Shaded { get; init; }
}
