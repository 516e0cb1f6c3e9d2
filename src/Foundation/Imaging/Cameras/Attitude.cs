using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>How the aircraft, and the camera fixed to it, is turned: z-y'-x'' in the aircraft's frame.</summary>
/// <param name="Yaw">Clockwise from north, seen from above.</param>
/// <param name="Pitch">Nose up.</param>
/// <param name="Roll">Right wing down.</param>
/// <remarks>
/// Aircraft frame: x nose, y right wing, z down. At zero attitude the camera looks straight down with the top of the
/// picture towards the nose: camera x = right wing, camera y = tail, camera z = down.
/// </remarks>
public readonly record struct Attitude(Angle Yaw, Angle Pitch, Angle Roll)
{
    private static readonly Matrix3D BodyToCamera = new(0, 1, 0, -1, 0, 0, 0, 0, 1);

    private static readonly Matrix3D EnuToNed = new(0, 1, 0, 1, 0, 0, 0, 0, -1);

    public static Attitude FromDegrees(double yawDegrees, double pitchDegrees, double rollDegrees) =>
        new(Angle.FromDegrees(yawDegrees), Angle.FromDegrees(pitchDegrees), Angle.FromDegrees(rollDegrees));

    /// <summary>Rotation taking north-east-down vectors into the aircraft's frame.</summary>
    public Matrix3D NedToBody() =>
        (Matrix3D.RotationZ(Yaw) * Matrix3D.RotationY(Pitch) * Matrix3D.RotationX(Roll)).Transposed();

    /// <summary>Rotation taking east-north-up vectors into the camera's frame (x right, y down, z forward).</summary>
    public Matrix3D EnuToCamera() => BodyToCamera * NedToBody() * EnuToNed;

    /// <summary>The inverse of <see cref="EnuToCamera"/>; yaw in [0°, 360°), roll in [-180°, 180°).</summary>
    /// <remarks>Straight up or down (pitch ±90°) yaw and roll are one turn: all of it is given to yaw.</remarks>
    public static Attitude FromEnuToCamera(Matrix3D enuToCamera)
    {
        Matrix3D c = BodyToCamera.Transposed() * enuToCamera * EnuToNed;
        double pitch = Math.Asin(Math.Clamp(-c.M13, -1, 1));
        bool vertical = Math.Abs(c.M13) > 1 - 1e-14;
        double yaw = vertical ? Math.Atan2(-c.M21, c.M22) : Math.Atan2(c.M12, c.M11);
        double roll = vertical ? 0 : Math.Atan2(c.M23, c.M33);
        return new Attitude(
            Angle.FromRadians(yaw).WrappedPositive(),
            Angle.FromRadians(pitch),
            Angle.FromRadians(roll)
        );
    }
}
