namespace Hillrow.Numerics.Regression;

/// <summary>An unevaluated sum of two doubles, about 32 decimal digits: for sums and fits that must lose nothing.</summary>
/// <remarks>
/// Sources: Dekker 1971 (doi 10.1007/BF01397083) and Knuth (TAOCP 2, 4.2.2) for the error-free sum; products by
/// fused multiply-add; Hida, Li &amp; Bailey 2001 (doi 10.1109/ARITH.2001.930115) for the operators. Relative error
/// of each operation below 2⁻¹⁰⁰. Overflow and NaN follow the leading double.
/// </remarks>
public readonly record struct DoubleDouble(double High, double Low)
{
    public static readonly DoubleDouble Zero = new(0, 0);

    public static implicit operator DoubleDouble(double value) => new(value, 0);

    public static explicit operator double(DoubleDouble value) => value.ToDouble();

    public static DoubleDouble operator +(DoubleDouble a, DoubleDouble b)
    {
        DoubleDouble high = Sum(a.High, b.High);
        DoubleDouble low = Sum(a.Low, b.Low);
        DoubleDouble first = QuickSum(high.High, high.Low + low.High);
        return QuickSum(first.High, first.Low + low.Low);
    }

    public static DoubleDouble operator -(DoubleDouble a) => new(-a.High, -a.Low);

    public static DoubleDouble operator -(DoubleDouble a, DoubleDouble b) => a + -b;

    public static DoubleDouble operator *(DoubleDouble a, DoubleDouble b)
    {
        double product = a.High * b.High;
        double error = Math.FusedMultiplyAdd(a.High, b.High, -product);
        return QuickSum(product, error + (a.High * b.Low) + (a.Low * b.High));
    }

    public static DoubleDouble operator /(DoubleDouble a, DoubleDouble b)
    {
        double first = a.High / b.High;
        DoubleDouble rest = a - (b * first);
        double second = rest.High / b.High;
        rest -= b * second;
        double third = rest.High / b.High;
        return QuickSum(first, second) + third;
    }

    /// <summary>The exact sum of two doubles.</summary>
    public static DoubleDouble Sum(double a, double b)
    {
        double sum = a + b;
        double part = sum - a;
        return new(sum, (a - (sum - part)) + (b - part));
    }

    /// <summary>The exact product of two doubles.</summary>
    public static DoubleDouble Product(double a, double b)
    {
        double product = a * b;
        return new(product, Math.FusedMultiplyAdd(a, b, -product));
    }

    /// <summary>Square root; NaN below zero (one Newton step on the double root).</summary>
    public static DoubleDouble Sqrt(DoubleDouble value)
    {
        if (value.High <= 0)
        {
            return value.High == 0 ? Zero : new(double.NaN, 0);
        }

        double root = Math.Sqrt(value.High);
        DoubleDouble rest = value - Product(root, root);
        return QuickSum(root, rest.High / (2 * root));
    }

    /// <summary>The sum of many doubles, rounded once.</summary>
    public static DoubleDouble Total(ReadOnlySpan<double> values)
    {
        DoubleDouble total = Zero;
        foreach (double value in values)
        {
            total += value;
        }

        return total;
    }

    public double ToDouble() => High + Low;

    private static DoubleDouble QuickSum(double a, double b)
    {
        double sum = a + b;
        return new(sum, b - (sum - a));
    }
}
