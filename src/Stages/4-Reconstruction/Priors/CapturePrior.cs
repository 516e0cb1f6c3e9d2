using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>What was recorded about a capture's place, in the local frame, before any picture was looked at.</summary>
/// <param name="Pose">Of the reference band's lens, from position, attitude and lever arm.</param>
/// <param name="AntennaLocalMetres">Where the receiver said the antenna was.</param>
/// <param name="HasPosition">False: place and sigma are no more than a guess.</param>
/// <param name="HasAttitude">False: the camera was taken to look straight down along its track.</param>
/// <param name="HorizontalSigmaMetres">Standard error of east and of north.</param>
/// <param name="VerticalSigmaMetres">Standard error of up.</param>
/// <param name="RotationSigmaRadians">Standard error of a rotation about any axis.</param>
/// <param name="Sortie">Index of the sortie.</param>
/// <param name="Seconds">Since the first capture of the sortie.</param>
internal sealed record CapturePrior(
    CameraPose Pose,
    Vector3D AntennaLocalMetres,
    bool HasPosition,
    bool HasAttitude,
    double HorizontalSigmaMetres,
    double VerticalSigmaMetres,
    double RotationSigmaRadians,
    int Sortie,
    double Seconds
);
