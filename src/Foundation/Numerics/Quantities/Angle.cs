using System.Text.Json.Serialization;

namespace Hillrow.Numerics;

/// <summary>A plane angle, stored in radians; not wrapped unless asked for.</summary>
/// <remarks>Direction and origin (clockwise from north, above the horizon, …) belong to the name that holds it.</remarks>
[JsonConverter(typeof(AngleJson))]
public readonly record struct Angle : IComparable<Angle>
{
    private Angle(double radians) => Radians = radians;

    public static Angle Zero => default;

    public double Radians { get; }

    public double Degrees => Radians * (180.0 / Math.PI);

    public double Sine => Math.Sin(Radians);

    public double Cosine => Math.Cos(Radians);

    public double Tangent => Math.Tan(Radians);

    /// <exception cref="ArgumentOutOfRangeException">The value is NaN or infinite.</exception>
    public static Angle FromRadians(double radians) =>
        double.IsFinite(radians)
            ? new Angle(radians)
            : throw new ArgumentOutOfRangeException(nameof(radians), radians, "An angle must be a finite number.");

    /// <exception cref="ArgumentOutOfRangeException">The value is NaN or infinite.</exception>
    public static Angle FromDegrees(double degrees) =>
        double.IsFinite(degrees)
            ? new Angle(degrees * (Math.PI / 180.0))
            : throw new ArgumentOutOfRangeException(nameof(degrees), degrees, "An angle must be a finite number.");

    /// <summary>The same direction in [0, 360) degrees.</summary>
    public Angle WrappedPositive()
    {
        double turn = Radians - (Math.Tau * Math.Floor(Radians / Math.Tau));
        return new Angle(turn >= Math.Tau ? 0 : turn);
    }

    /// <summary>The same direction in [-180, 180) degrees.</summary>
    public Angle WrappedSigned()
    {
        double turn = WrappedPositive().Radians;
        return new Angle(turn >= Math.PI ? turn - Math.Tau : turn);
    }

    public int CompareTo(Angle other) => Radians.CompareTo(other.Radians);

    public static Angle operator +(Angle left, Angle right) => new(left.Radians + right.Radians);

    public static Angle operator -(Angle left, Angle right) => new(left.Radians - right.Radians);

    public static Angle operator -(Angle angle) => new(-angle.Radians);

    public static Angle operator *(Angle angle, double factor) => new(angle.Radians * factor);

    public static bool operator <(Angle left, Angle right) => left.Radians < right.Radians;

    public static bool operator >(Angle left, Angle right) => left.Radians > right.Radians;

    public static bool operator <=(Angle left, Angle right) => left.Radians <= right.Radians;

    public static bool operator >=(Angle left, Angle right) => left.Radians >= right.Radians;

    public override string ToString() => FormattableString.Invariant($"{Degrees:0.######}°");
}
