using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>Where the rig is and how it is turned at one moment, local east-north-up frame.</summary>
/// <param name="PositionMetres">Of the rig's reference point.</param>
/// <param name="YawDegrees">Clockwise from local north.</param>
/// <param name="PitchDegrees">Nose up.</param>
/// <param name="RollDegrees">Right wing down.</param>
/// <remarks>Zero attitude looks straight down with the picture's top towards the nose.</remarks>
public readonly record struct RigPose(
    Vector3D PositionMetres,
    double YawDegrees,
    double PitchDegrees,
    double RollDegrees
)
{
    /// <summary>Turns rig axes (x right wing, y tail, z down) into east, north, up.</summary>
    public Matrix3D RigToLocal()
    {
        Matrix3D attitude =
            Matrix3D.RotationZ(Angle.FromDegrees(YawDegrees))
            * Matrix3D.RotationY(Angle.FromDegrees(PitchDegrees))
            * Matrix3D.RotationX(Angle.FromDegrees(RollDegrees));
        // Columns: where nose-right-down axes go in north-east-down.
        Matrix3D bodyFromRig = new(0, -1, 0, 1, 0, 0, 0, 0, 1);
        Matrix3D upFromDown = new(0, 1, 0, 1, 0, 0, 0, 0, -1);
        return upFromDown * attitude * bodyFromRig;
    }
}
