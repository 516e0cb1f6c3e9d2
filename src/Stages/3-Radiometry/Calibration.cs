using System.Text.Json.Serialization;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>How reflectance is had.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<CalibrationMethod>))]
public enum CalibrationMethod
{
    /// <summary>The panel sets the level, the irradiance sensor follows the light from capture to capture.</summary>
    PanelAndIrradiance,

    /// <summary>The panel alone, before and after interpolated in time.</summary>
    Panel,

    /// <summary>Absolute radiance over absolute irradiance.</summary>
    Irradiance,

    /// <summary>The camera's own colours, evened by exposure and gain; no reflectance.</summary>
    Colours,

    /// <summary>None: the band cannot be turned into reflectance.</summary>
    None,
}

/// <summary>How a band becomes reflectance: reflectance = relative radiance · factor · frame's factor · frame's gain.</summary>
/// <param name="Band">Name in the profile.</param>
/// <param name="Factor">Reflectance per relative radiance (s⁻¹, see RelativeRadiance) in the survey's median light.</param>
/// <param name="RelativeSigma">Standard error of the factor as a share of it; common to all captures.</param>
/// <param name="Method">How it was found.</param>
/// <param name="Reason">Why so, one line.</param>
public sealed record BandFactor(
    string Band,
    double Factor,
    double RelativeSigma,
    CalibrationMethod Method,
    string Reason
)
{
    /// <summary>Largest less smallest look at the panel over their mean, the sensor's light taken off where there is one; null for one look.</summary>
    public double? PanelChange { get; init; }

    /// <summary>Level by the panel over that by the makers' absolute calibrations of camera and sensor; null without those.</summary>
    public double? SensorRatio { get; init; }

    /// <summary>Grey levels of the panel behind the factor; 0 without panel.</summary>
    public int PanelLevels { get; init; }

    /// <summary>What the levels are off the line through them, root mean square as a share; null for fewer than two.</summary>
    public double? PanelResidual { get; init; }

    /// <summary>Light that the optics spread over a frame, as a share of the frame's mean, told by the panel's levels; null when they tell none.</summary>
    public double? StrayLightShare { get; init; }

    /// <summary>Standard error of <see cref="StrayLightShare"/>.</summary>
    public double? StrayLightSigma { get; init; }
}

/// <summary>What is particular to one frame.</summary>
/// <param name="CaptureId">Of the capture.</param>
/// <param name="Band">Name in the profile.</param>
/// <param name="Factor">Above 0, 1 in the survey's median light.</param>
/// <param name="RelativeSigma">Standard error as a share, of its own to the capture.</param>
public sealed record FrameFactor(string CaptureId, string Band, double Factor, double RelativeSigma);

/// <summary>One look at the panel.</summary>
/// <param name="CaptureId">Of the panel's capture.</param>
/// <param name="Band">Name in the profile.</param>
/// <param name="Level">Name of the grey field.</param>
/// <param name="RelativeRadiance">Mean of the field; 0 when none was found.</param>
/// <param name="Unevenness">Standard deviation over the field as a share of the mean, without noise of single pixels.</param>
/// <param name="SaturatedShare">Of the field's pixels.</param>
/// <param name="Centre">Of the field in the frame; null when none was found.</param>
/// <param name="AreaPixels">Used for the mean.</param>
/// <param name="Accepted">Whether it is used.</param>
/// <param name="Reason">Why not; or empty.</param>
public sealed record PanelReading(
    string CaptureId,
    string Band,
    string Level,
    double RelativeRadiance,
    double Unevenness,
    double SaturatedShare,
    PixelPoint? Centre,
    int AreaPixels,
    bool Accepted,
    string Reason
)
{
    /// <summary>Mean relative radiance of the whole frame.</summary>
    public double FrameRadiance { get; init; }
}

/// <summary>All that turns a survey's counts into reflectance; goes through System.Text.Json and back unchanged.</summary>
public sealed record Calibration
{
    /// <summary>The reflective bands in the profile's order.</summary>
    public required IReadOnlyList<BandFactor> Bands { get; init; }

    /// <summary>One per frame that may be used; a frame without one may not.</summary>
    public required IReadOnlyList<FrameFactor> Frames { get; init; }

    /// <summary>Gains on top, from the agreement of overlapping captures; a frame not named has 1.</summary>
    public IReadOnlyList<FrameFactor> CaptureGains { get; init; } = [];

    /// <summary>What overlapping captures say on top; null before they were compared.</summary>
    public LightAdjustment? Light { get; init; }

    /// <summary>Of the panel's brightest level.</summary>
    public required IReadOnlyList<PanelReading> PanelReadings { get; init; }

    /// <summary>Of its darker levels, where they were found and can be used.</summary>
    public IReadOnlyList<PanelReading> DarkerReadings { get; init; } = [];

    /// <summary>Frames take stray light off by the panel's levels alone: captures were not compared, which would do it for each.</summary>
    public bool TakesStrayLight { get; init; }

    /// <summary>What was decided and found, one line each.</summary>
    public required IReadOnlyList<string> Remarks { get; init; }
}

/// <summary>What radiometry gives.</summary>
public sealed record RadiometryResult(Calibration Calibration, StageOutcome Outcome);
