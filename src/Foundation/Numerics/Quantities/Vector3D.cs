namespace Hillrow.Numerics;

/// <summary>Three double coordinates; the frame and unit belong to the name that holds it.</summary>
public readonly record struct Vector3D(double X, double Y, double Z)
{
    public static Vector3D Zero => default;

    public double LengthSquared => (X * X) + (Y * Y) + (Z * Z);

    public double Length => Math.Sqrt(LengthSquared);

    public static double Dot(Vector3D left, Vector3D right) =>
        (left.X * right.X) + (left.Y * right.Y) + (left.Z * right.Z);

    public static Vector3D Cross(Vector3D left, Vector3D right) =>
        new(
            (left.Y * right.Z) - (left.Z * right.Y),
            (left.Z * right.X) - (left.X * right.Z),
            (left.X * right.Y) - (left.Y * right.X)
        );

    /// <exception cref="InvalidOperationException">The vector has no direction (zero length).</exception>
    public Vector3D Normalized()
    {
        double length = Length;
        return length > 0
            ? new Vector3D(X / length, Y / length, Z / length)
            : throw new InvalidOperationException("A zero vector has no direction.");
    }

    public static Vector3D operator +(Vector3D left, Vector3D right) =>
        new(left.X + right.X, left.Y + right.Y, left.Z + right.Z);

    public static Vector3D operator -(Vector3D left, Vector3D right) =>
        new(left.X - right.X, left.Y - right.Y, left.Z - right.Z);

    public static Vector3D operator -(Vector3D vector) => new(-vector.X, -vector.Y, -vector.Z);

    public static Vector3D operator *(Vector3D vector, double factor) =>
        new(vector.X * factor, vector.Y * factor, vector.Z * factor);

    public static Vector3D operator *(double factor, Vector3D vector) => vector * factor;

    public static Vector3D operator /(Vector3D vector, double divisor) =>
        new(vector.X / divisor, vector.Y / divisor, vector.Z / divisor);
}
