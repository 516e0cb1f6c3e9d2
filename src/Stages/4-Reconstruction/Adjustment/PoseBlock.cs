using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Reconstruction;

/// <summary>
/// A pose as a shared block: rotation row by row, then the centre. Its step is a turn about the camera's axes (radians,
/// applied from the left) and a shift of the centre (metres).
/// </summary>
internal static class PoseBlock
{
    public const int ValueCount = 12;

    public const int StepSize = 6;

    public static int Add(BlockProblem problem, CameraPose pose)
    {
        Matrix3D r = pose.LocalToCamera;
        Vector3D c = pose.CentreLocalMetres;
        return problem.AddSharedBlock(
            [r.M11, r.M12, r.M13, r.M21, r.M22, r.M23, r.M31, r.M32, r.M33, c.X, c.Y, c.Z],
            StepSize,
            Move
        );
    }

    public static Matrix3D Rotation(ReadOnlySpan<double> values) =>
        new(values[0], values[1], values[2], values[3], values[4], values[5], values[6], values[7], values[8]);

    public static Vector3D Centre(ReadOnlySpan<double> values) => new(values[9], values[10], values[11]);

    public static CameraPose Pose(ReadOnlySpan<double> values) => new(Centre(values), Orthonormal(Rotation(values)));

    private static void Move(ReadOnlySpan<double> current, ReadOnlySpan<double> step, Span<double> updated)
    {
        Matrix3D turned = Matrix3D.FromRotationVector(new Vector3D(step[0], step[1], step[2])) * Rotation(current);
        (updated[0], updated[1], updated[2]) = (turned.M11, turned.M12, turned.M13);
        (updated[3], updated[4], updated[5]) = (turned.M21, turned.M22, turned.M23);
        (updated[6], updated[7], updated[8]) = (turned.M31, turned.M32, turned.M33);
        for (int axis = 0; axis < 3; axis++)
        {
            updated[9 + axis] = current[9 + axis] + step[3 + axis];
        }
    }

    /// <summary>Takes the rounding of many small turns out.</summary>
    private static Matrix3D Orthonormal(Matrix3D rotation)
    {
        Vector3D z = rotation.Row3.Normalized();
        Vector3D x = (rotation.Row1 - (z * Vector3D.Dot(rotation.Row1, z))).Normalized();
        return Matrix3D.FromRows(x, Vector3D.Cross(z, x), z);
    }
}
