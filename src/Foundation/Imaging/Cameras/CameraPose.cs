using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>Where a camera is and which way it looks, in the survey's local east-north-up frame.</summary>
/// <param name="CentreEnuMetres">The lens's centre.</param>
/// <param name="EnuToCamera">Rotation taking east-north-up vectors into the camera frame (x right, y down, z forward).</param>
public readonly record struct CameraPose(Vector3D CentreEnuMetres, Matrix3D EnuToCamera)
{
    public static CameraPose From(Vector3D centreEnuMetres, Attitude attitude) =>
        new(centreEnuMetres, attitude.EnuToCamera());

    /// <summary>The direction of view (optical axis), unit length.</summary>
    public Vector3D ViewEnu => EnuToCamera.Row3;

    /// <summary>Angle between the direction of view and straight down, 0° … 180°.</summary>
    public Angle OffNadir
    {
        get
        {
            // atan2 keeps its precision near the vertical, where acos loses half the digits.
            Vector3D view = ViewEnu;
            return Angle.FromRadians(Math.Atan2(Math.Sqrt((view.X * view.X) + (view.Y * view.Y)), -view.Z));
        }
    }

    /// <summary>Azimuth the camera looks towards, clockwise from north, [0°, 360°); without meaning straight down.</summary>
    public Angle ViewAzimuth => Angle.FromRadians(Math.Atan2(ViewEnu.X, ViewEnu.Y)).WrappedPositive();

    public Vector3D ToCamera(Vector3D pointEnuMetres) => EnuToCamera * (pointEnuMetres - CentreEnuMetres);

    /// <summary>A direction of the camera frame, in east-north-up.</summary>
    public Vector3D DirectionEnu(Vector3D inCamera) => EnuToCamera.Transposed() * inCamera;
}
