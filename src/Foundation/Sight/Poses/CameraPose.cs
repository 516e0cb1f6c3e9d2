using Hillrow.Numerics;

namespace Hillrow.Sight;

/// <summary>Where a camera stands and looks, in the survey's local east-north-up frame (metres).</summary>
/// <param name="CentreLocalMetres">Projection centre.</param>
/// <param name="LocalToCamera">Rotation: a direction in the local frame → the camera frame (x right, y down, z forward).</param>
public sealed record CameraPose(Vector3D CentreLocalMetres, Matrix3D LocalToCamera)
{
    /// <summary>Camera axes of a level aircraft heading north, looking straight down, image top towards the nose.</summary>
    private static readonly Matrix3D BodyToCamera = new(0, 1, 0, -1, 0, 0, 0, 0, 1);

    /// <summary>North-east-down to east-north-up; its own inverse.</summary>
    private static readonly Matrix3D LocalToNorthEastDown = new(0, 1, 0, 1, 0, 0, 0, 0, -1);

    /// <summary>Pose from the attitude of the camera's carrier.</summary>
    /// <param name="centreLocalMetres">Projection centre.</param>
    /// <param name="yawClockwiseFromNorth">Heading, clockwise seen from above.</param>
    /// <param name="pitchNoseUp">Positive lifts the nose.</param>
    /// <param name="rollRightWingDown">Positive lowers the right wing.</param>
    /// <remarks>
    /// Aerospace order Rz(yaw) Ry(pitch) Rx(roll), body x nose, y right, z down; zero attitude looks straight down with
    /// the top of the picture towards the nose. Checked by tests/Reference/camera-geometry/rotation_conventions.json.
    /// </remarks>
    public static CameraPose FromAttitude(
        Vector3D centreLocalMetres,
        Angle yawClockwiseFromNorth,
        Angle pitchNoseUp,
        Angle rollRightWingDown
    )
    {
        Matrix3D bodyToNed =
            Matrix3D.RotationZ(yawClockwiseFromNorth)
            * Matrix3D.RotationY(pitchNoseUp)
            * Matrix3D.RotationX(rollRightWingDown);
        return new CameraPose(centreLocalMetres, BodyToCamera * bodyToNed.Transposed() * LocalToNorthEastDown);
    }

    /// <summary>A place in the local frame, seen from the camera (z is the depth along the view).</summary>
    public Vector3D ToCamera(Vector3D pointLocalMetres) => LocalToCamera * (pointLocalMetres - CentreLocalMetres);

    /// <summary>A direction of the camera frame, in the local frame.</summary>
    public Vector3D ToLocalDirection(Vector3D directionInCamera) => LocalToCamera.Transposed() * directionInCamera;
}
