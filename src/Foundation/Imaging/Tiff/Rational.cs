namespace Hillrow.Imaging;

/// <summary>A fraction as a file stores it, not reduced: 1/250 stays 1/250, and 0/0 stays 0/0.</summary>
/// <param name="Numerator">Signed, so that it holds both kinds of TIFF rational.</param>
/// <param name="Denominator">May be 0 in damaged or "unknown" values; then <see cref="Value"/> is null.</param>
public readonly record struct Rational(long Numerator, long Denominator)
{
    /// <summary>The quotient, or null when the denominator is 0.</summary>
    public double? Value => Denominator == 0 ? null : (double)Numerator / Denominator;

    public override string ToString() => FormattableString.Invariant($"{Numerator}/{Denominator}");
}
