namespace Hillrow.Numerics.Tests.BundleAdjustment;

/// <summary>
/// A BAL camera as the solver holds it: the rotation as a matrix (9, row-major), translation (3), f, k1, k2. A step
/// has 9 numbers: a small rotation applied on the left, then additions; so the residuals need no sines.
/// </summary>
public static class BalCamera
{
    public const int ValueCount = 15;

    public const int StepSize = 9;

    public static void FromBal(ReadOnlySpan<double> bal, Span<double> values)
    {
        Write(Matrix3D.FromRotationVector(new Vector3D(bal[0], bal[1], bal[2])), values);
        bal[3..9].CopyTo(values[9..]);
    }

    public static void Move(ReadOnlySpan<double> current, ReadOnlySpan<double> step, Span<double> updated)
    {
        Matrix3D turn = Matrix3D.FromRotationVector(new Vector3D(step[0], step[1], step[2]));
        for (int column = 0; column < 3; column++)
        {
            double x = current[column];
            double y = current[3 + column];
            double z = current[6 + column];
            updated[column] = (turn.M11 * x) + (turn.M12 * y) + (turn.M13 * z);
            updated[3 + column] = (turn.M21 * x) + (turn.M22 * y) + (turn.M23 * z);
            updated[6 + column] = (turn.M31 * x) + (turn.M32 * y) + (turn.M33 * z);
        }

        for (int k = 0; k < 6; k++)
        {
            updated[9 + k] = current[9 + k] + step[3 + k];
        }
    }

    private static void Write(Matrix3D m, Span<double> values)
    {
        values[0] = m.M11;
        values[1] = m.M12;
        values[2] = m.M13;
        values[3] = m.M21;
        values[4] = m.M22;
        values[5] = m.M23;
        values[6] = m.M31;
        values[7] = m.M32;
        values[8] = m.M33;
    }
}
