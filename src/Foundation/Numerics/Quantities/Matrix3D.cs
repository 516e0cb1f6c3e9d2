namespace Hillrow.Numerics;

/// <summary>A 3 × 3 matrix, named row by row (M12 is row 1, column 2); multiplies column vectors from the left.</summary>
public readonly record struct Matrix3D(
    double M11,
    double M12,
    double M13,
    double M21,
    double M22,
    double M23,
    double M31,
    double M32,
    double M33
)
{
    public static Matrix3D Identity => new(1, 0, 0, 0, 1, 0, 0, 0, 1);

    public Vector3D Row1 => new(M11, M12, M13);

    public Vector3D Row2 => new(M21, M22, M23);

    public Vector3D Row3 => new(M31, M32, M33);

    public double Determinant => Vector3D.Dot(Row1, Vector3D.Cross(Row2, Row3));

    public static Matrix3D FromRows(Vector3D row1, Vector3D row2, Vector3D row3) =>
        new(row1.X, row1.Y, row1.Z, row2.X, row2.Y, row2.Z, row3.X, row3.Y, row3.Z);

    /// <summary>Active rotation about x: turns y towards z (right-hand rule).</summary>
    public static Matrix3D RotationX(Angle angle) =>
        new(1, 0, 0, 0, angle.Cosine, -angle.Sine, 0, angle.Sine, angle.Cosine);

    /// <summary>Active rotation about y: turns z towards x (right-hand rule).</summary>
    public static Matrix3D RotationY(Angle angle) =>
        new(angle.Cosine, 0, angle.Sine, 0, 1, 0, -angle.Sine, 0, angle.Cosine);

    /// <summary>Active rotation about z: turns x towards y (right-hand rule).</summary>
    public static Matrix3D RotationZ(Angle angle) =>
        new(angle.Cosine, -angle.Sine, 0, angle.Sine, angle.Cosine, 0, 0, 0, 1);

    /// <summary>Active rotation by |v| radians about v (Rodrigues' formula).</summary>
    /// <remarks>
    /// Below 1e-8 rad the second-order series is exact in double precision.
    /// Source: O. Rodrigues 1840; checked against tests/Reference/camera-geometry/rodrigues.json.
    /// </remarks>
    public static Matrix3D FromRotationVector(Vector3D rotationVectorRadians)
    {
        double angle = rotationVectorRadians.Length;
        double sineFactor = angle < 1e-8 ? 1 - (angle * angle / 6) : Math.Sin(angle) / angle;
        double half = Math.Sin(angle / 2);
        double cosineFactor = angle < 1e-8 ? 0.5 : 2 * half * half / (angle * angle);
        (double x, double y, double z) = (rotationVectorRadians.X, rotationVectorRadians.Y, rotationVectorRadians.Z);
        double c = cosineFactor;
        double s = sineFactor;
        return new(
            1 - (c * ((y * y) + (z * z))),
            (c * x * y) - (s * z),
            (c * x * z) + (s * y),
            (c * x * y) + (s * z),
            1 - (c * ((x * x) + (z * z))),
            (c * y * z) - (s * x),
            (c * x * z) - (s * y),
            (c * y * z) + (s * x),
            1 - (c * ((x * x) + (y * y)))
        );
    }

    /// <summary>The rotation vector (radians, length in [0, π]) of a rotation matrix.</summary>
    /// <remarks>Goes through the largest quaternion component, so it stays exact near 0 and near π.</remarks>
    public Vector3D ToRotationVector()
    {
        double trace = M11 + M22 + M33;
        double w,
            x,
            y,
            z;
        if (trace >= M11 && trace >= M22 && trace >= M33)
        {
            w = 1 + trace;
            (x, y, z) = (M32 - M23, M13 - M31, M21 - M12);
        }
        else if (M11 >= M22 && M11 >= M33)
        {
            x = 1 + M11 - M22 - M33;
            (w, y, z) = (M32 - M23, M12 + M21, M13 + M31);
        }
        else if (M22 >= M33)
        {
            y = 1 + M22 - M11 - M33;
            (w, x, z) = (M13 - M31, M12 + M21, M23 + M32);
        }
        else
        {
            z = 1 + M33 - M11 - M22;
            (w, x, y) = (M21 - M12, M13 + M31, M23 + M32);
        }

        double norm = Math.Sqrt((w * w) + (x * x) + (y * y) + (z * z));
        double sign = w < 0 ? -1 : 1;
        (w, x, y, z) = (sign * w / norm, sign * x / norm, sign * y / norm, sign * z / norm);
        double imaginary = Math.Sqrt((x * x) + (y * y) + (z * z));
        double factor = imaginary < 1e-12 ? 2 : 2 * Math.Atan2(imaginary, w) / imaginary;
        return new Vector3D(x * factor, y * factor, z * factor);
    }

    public Matrix3D Transposed() => new(M11, M21, M31, M12, M22, M32, M13, M23, M33);

    public static Vector3D operator *(Matrix3D matrix, Vector3D vector) =>
        new(Vector3D.Dot(matrix.Row1, vector), Vector3D.Dot(matrix.Row2, vector), Vector3D.Dot(matrix.Row3, vector));

    public static Matrix3D operator *(Matrix3D left, Matrix3D right)
    {
        Matrix3D columns = right.Transposed();
        return FromRows(columns * left.Row1, columns * left.Row2, columns * left.Row3);
    }
}
