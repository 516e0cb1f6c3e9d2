using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>Where a camera stands and looks, in the survey's local east-north-up frame (metres).</summary>
/// <param name="CentreLocalMetres">Projection centre.</param>
/// <param name="LocalToCamera">Rotation: a direction in the local frame → the camera frame (x right, y down, z forward).</param>
public sealed record CameraPose(Vector3D CentreLocalMetres, Matrix3D LocalToCamera)
{
    /// <summary>Direction of view (the optical axis) in the local frame, unit length.</summary>
    public Vector3D ViewLocal => LocalToCamera.Row3;

    /// <summary>Angle between the direction of view and straight down, 0° … 180°.</summary>
    public Angle OffNadir
    {
        get
        {
            // atan2 keeps its precision near the vertical, where acos loses half the digits.
            Vector3D view = ViewLocal;
            return Angle.FromRadians(Math.Atan2(Math.Sqrt((view.X * view.X) + (view.Y * view.Y)), -view.Z));
        }
    }

    /// <summary>Azimuth the camera looks towards, clockwise from north, [0°, 360°); without meaning straight down.</summary>
    public Angle ViewAzimuth => Angle.FromRadians(Math.Atan2(ViewLocal.X, ViewLocal.Y)).WrappedPositive();

    /// <summary>Pose from the attitude of the camera's carrier; see <see cref="Attitude"/> for the order of turns.</summary>
    public static CameraPose FromAttitude(Vector3D centreLocalMetres, Attitude attitude) =>
        new(centreLocalMetres, attitude.EnuToCamera());

    /// <inheritdoc cref="FromAttitude(Vector3D, Attitude)"/>
    public static CameraPose FromAttitude(
        Vector3D centreLocalMetres,
        Angle yawClockwiseFromNorth,
        Angle pitchNoseUp,
        Angle rollRightWingDown
    ) => FromAttitude(centreLocalMetres, new Attitude(yawClockwiseFromNorth, pitchNoseUp, rollRightWingDown));

    /// <summary>A place in the local frame, seen from the camera (z is the depth along the view).</summary>
    public Vector3D ToCamera(Vector3D pointLocalMetres) => LocalToCamera * (pointLocalMetres - CentreLocalMetres);

    /// <summary>A direction of the camera frame, in the local frame.</summary>
    public Vector3D ToLocalDirection(Vector3D directionInCamera) => LocalToCamera.Transposed() * directionInCamera;
}
