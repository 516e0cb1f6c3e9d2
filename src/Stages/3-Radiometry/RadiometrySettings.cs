using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>What radiometry works on.</summary>
/// <param name="Profile">Of the camera.</param>
/// <param name="CaptureRoot">Files of frames are relative to it.</param>
/// <param name="Captures">All captures that are to become reflectance, the panel's too.</param>
/// <param name="PanelCaptureIds">Those that show, or may show, the panel.</param>
/// <param name="ProfileFolder">Where falloff maps of the profile lie; null when it has none.</param>
public sealed record RadiometryInput(
    CameraProfile Profile,
    string CaptureRoot,
    IReadOnlyList<Capture> Captures,
    IReadOnlyList<string> PanelCaptureIds,
    string? ProfileFolder = null
);

/// <summary>The panel's grey field pointed out by hand in one frame.</summary>
/// <param name="CaptureId">Of the capture.</param>
/// <param name="Band">Name in the profile.</param>
/// <param name="Corners">At least three, in order round the field.</param>
public sealed record PanelRegion(string CaptureId, string Band, IReadOnlyList<PixelPoint> Corners);

/// <summary>How reflectance is found; each default says why.</summary>
public sealed record RadiometrySettings
{
    public static RadiometrySettings Default { get; } = new();

    /// <summary>The result does not depend on it.</summary>
    public int Threads { get; init; } = Environment.ProcessorCount;

    /// <summary>Null: chosen by what is there; else only this way.</summary>
    public CalibrationMethod? Force { get; init; }

    /// <summary>A mean with more saturated pixels comes out too dark by about as much.</summary>
    public double LargestSaturatedShare { get; init; } = 0.01;

    /// <summary>A clean panel under open sky is even to 1 %; a shadow's edge or dirt makes more.</summary>
    public double LargestUnevenness { get; init; } = 0.03;

    /// <summary>Panels taken at the same light agree within this; more means shadow, or a changed sky.</summary>
    public double LargestDisagreement { get; init; } = 0.12;

    /// <summary>Smallest share of the frame that a panel's field fills.</summary>
    public double SmallestFieldShare { get; init; } = 0.004;

    /// <summary>Standard error of a panel reading beside its certificate: angle, stray light, vignetting left over.</summary>
    public double PanelRelativeSigma { get; init; } = 0.008;

    /// <summary>Standard error of one irradiance reading against another: noise, tilt left over, cosine error.</summary>
    public double IrradianceRelativeSigma { get; init; } = 0.012;

    /// <summary>Standard error of the light between two panel looks when no sensor watches it.</summary>
    public double UnwatchedLightRelativeSigma { get; init; } = 0.03;

    /// <summary>Standard error of the level when only absolute calibrations tell it.</summary>
    public double AbsoluteRelativeSigma { get; init; } = 0.06;

    public IReadOnlyList<PanelRegion> PanelRegions { get; init; } = [];

    /// <exception cref="InputProblemException">Settings are at fault; all are told.</exception>
    public void Validate()
    {
        List<string> faults = [];
        if (Threads < 1)
        {
            faults.Add($"Threads = {Threads} must be at least 1");
        }

        foreach (
            (string name, double value) in new[]
            {
                (nameof(LargestSaturatedShare), LargestSaturatedShare),
                (nameof(LargestUnevenness), LargestUnevenness),
                (nameof(LargestDisagreement), LargestDisagreement),
                (nameof(SmallestFieldShare), SmallestFieldShare),
                (nameof(PanelRelativeSigma), PanelRelativeSigma),
                (nameof(IrradianceRelativeSigma), IrradianceRelativeSigma),
                (nameof(UnwatchedLightRelativeSigma), UnwatchedLightRelativeSigma),
                (nameof(AbsoluteRelativeSigma), AbsoluteRelativeSigma),
            }
        )
        {
            if (!(value is > 0 and < 1))
            {
                faults.Add(FormattableString.Invariant($"{name} = {value} must lie between 0 and 1"));
            }
        }

        faults.AddRange(
            PanelRegions
                .Where(region => region.Corners.Count < 3)
                .Select(region => $"PanelRegions: capture {region.CaptureId}, band {region.Band} needs 3 corners")
        );
        if (faults.Count > 0)
        {
            throw new InputProblemException(
                "radiometry settings",
                string.Join("; ", faults) + ".",
                "Mend the settings named."
            );
        }
    }
}
