using Hillrow.Imaging;
using Hillrow.Sight;

namespace Hillrow.Radiometry;

/// <summary>What the comparison of overlapping captures works on.</summary>
/// <param name="Profile">Of the camera.</param>
/// <param name="Captures">All of the survey, the panel's too.</param>
/// <param name="Calibration">As <see cref="RadiometryStage"/> gave it.</param>
/// <param name="Frames">Reflectance by that calibration.</param>
/// <param name="Geometry">Placed captures are used.</param>
/// <param name="Surface">In the geometry's local frame.</param>
public sealed record OverlapInput(
    CameraProfile Profile,
    IReadOnlyList<Capture> Captures,
    Calibration Calibration,
    ReflectanceFrames Frames,
    SurveyGeometry Geometry,
    HeightField Surface
);

/// <summary>How overlaps are used; each default says why.</summary>
public sealed record OverlapSettings
{
    public static OverlapSettings Default { get; } = new();

    /// <summary>The result does not depend on it.</summary>
    public int Threads { get; init; } = Environment.ProcessorCount;

    /// <summary>Share of the frame's mean that small lenses lay over everything as veiling glare; 1 to 3 % is usual for whole cameras, half for good ones.</summary>
    public double StrayLightShare { get; init; } = 0.008;

    /// <summary>Standard error of that share.</summary>
    public double StrayLightShareSigma { get; init; } = 0.004;

    /// <summary>Optical depth of the haze at 550 nm, inland; nobody measures it.</summary>
    public double HazeDepth { get; init; } = 0.12;

    /// <summary>Light of the air is good to so much of itself.</summary>
    public double PathLightRelativeSigma { get; init; } = 0.6;

    /// <summary>Light is steady when the sensor's readings, tilt taken off, scatter less; broken cloud scatters by a tenth and more.</summary>
    public double SteadyLightSigma { get; init; } = 0.02;

    /// <summary>Under steady light captures differ from the sun's course by this much.</summary>
    public double SteadyLightStep { get; init; } = 0.003;

    /// <summary>One reading of the irradiance sensor: noise, and half a degree of attitude.</summary>
    public double ReadingSigma { get; init; } = 0.012;

    /// <summary>How far the sensor leans beyond what the profile says, radians: mounts are set by hand.</summary>
    public double MountSigmaRadians { get; init; } = 0.026;

    /// <summary>
    /// Light that no sensor watches differs from the panel's by this much before overlaps say better: clouds that take 60 % of the beam
    /// leave half of the light, and 90 % intervals of this width still reach that.
    /// </summary>
    public double UnwatchedSigma { get; init; } = 0.42;

    /// <summary>Between neighbouring light nodes, away from clouds' edges, where the light may jump.</summary>
    public double NodeStep { get; init; } = 0.012;

    /// <summary>Light nodes of a frame under passing clouds, upper to lower edge: some metres apart, for clouds' edges are tens of metres wide.</summary>
    public int CloudNodeRows { get; init; } = 12;

    /// <summary>From left to right.</summary>
    public int CloudNodeColumns { get; init; } = 16;

    /// <summary>Cells of a frame under passing clouds that have a standard error of their own, upper to lower edge.</summary>
    public int SigmaRows { get; init; } = 6;

    /// <summary>From left to right.</summary>
    public int SigmaColumns { get; init; } = 8;

    /// <summary>
    /// Falloff's error at the corner when the profile tells the falloff. Held tight: what grows evenly from the frame's
    /// middle looks the same as canopy that closes towards the horizon, and the canopy does more of it.
    /// </summary>
    public double FalloffSigma { get; init; } = 0.005;

    /// <summary>What the falloff at the corner is really unsure of: it cannot be told from the canopy, so it stays in sigma.</summary>
    public double FalloffLeftSigma { get; init; } = 0.03;

    /// <summary>And when it tells none: the whole falloff of a wide lens.</summary>
    public double UnknownFalloffSigma { get; init; } = 0.5;

    /// <summary>Brightness from edge to edge that no profile tells.</summary>
    public double LensTiltSigma { get; init; } = 0.015;

    /// <summary>Weights of the view-angle kernels lie within this; vegetation reaches 1 and 0.2.</summary>
    public double VolumeSigma { get; init; } = 0.7;

    public double GeometrySigma { get; init; } = 0.2;

    /// <summary>Change with the square of the view angle, 1/rad²: at 35° off nadir a tenth and more.</summary>
    public double SlantSigma { get; init; } = 0.5;
}
