using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Sight;

/// <summary>Where every capture of a survey stood and how every lens of the camera sees, as solved from the pictures.</summary>
/// <param name="Frame">The local east-north-up frame of all poses.</param>
/// <param name="Bands">Lens and mount per band, the reference band first.</param>
/// <param name="Captures">In the order of triggering; those that could not be placed are here too, marked.</param>
public sealed record SurveyGeometry(
    LocalFrame Frame,
    IReadOnlyList<BandGeometry> Bands,
    IReadOnlyList<PlacedCapture> Captures
)
{
    public BandGeometry BandOf(string band) =>
        Bands.FirstOrDefault(entry => entry.Band == band)
        ?? throw new ArgumentException(
            $"No band \"{band}\" in the survey's geometry; there are {string.Join(", ", Bands.Select(entry => entry.Band))}.",
            nameof(band)
        );

    /// <summary>One band's frame of a capture, with its own lens and place.</summary>
    public SightedFrame FrameOf(PlacedCapture capture, BandGeometry band)
    {
        ArgumentNullException.ThrowIfNull(capture);
        ArgumentNullException.ThrowIfNull(band);
        return new SightedFrame(band.Mount.PoseOfBand(capture.Pose), band.Lens);
    }
}

/// <summary>Lens and mount of one band as solved for a survey.</summary>
public sealed record BandGeometry(string Band, Lens Lens, CameraMount Mount);

/// <summary>One capture's place.</summary>
/// <param name="CaptureId">As in the survey's captures.</param>
/// <param name="Pose">Of the reference band.</param>
/// <param name="PositionSigmaMetres">One standard error of a coordinate; without ground control the receiver's common error is in it.</param>
/// <param name="RotationSigmaRadians">One standard error of a rotation angle.</param>
/// <param name="Placed">False: only the recorded position and attitude, not confirmed by the pictures; do not map from it.</param>
/// <param name="Reason">Why it is not placed; empty otherwise.</param>
public sealed record PlacedCapture(
    string CaptureId,
    CameraPose Pose,
    double PositionSigmaMetres,
    double RotationSigmaRadians,
    bool Placed,
    string Reason = ""
);
