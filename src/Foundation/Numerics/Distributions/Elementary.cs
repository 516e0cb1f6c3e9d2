namespace Hillrow.Numerics.Distributions;

/// <summary>Elementary functions near their zeros, which <see cref="Math"/> lacks.</summary>
/// <remarks>Source: Kahan's correction, as in Higham 2002, Accuracy and Stability of Numerical Algorithms, 1.14.1 (from memory). Few ulp.</remarks>
public static class Elementary
{
    /// <summary>ln(1 + x), accurate for small x; NaN below −1.</summary>
    public static double Log1P(double x)
    {
        double u = 1 + x;
        if (u.Equals(1.0))
        {
            return x;
        }

        return double.IsInfinity(u) ? u : Math.Log(u) * (x / (u - 1));
    }

    /// <summary>eˣ − 1, accurate for small x.</summary>
    public static double ExpM1(double x)
    {
        if (Math.Abs(x) > 1)
        {
            return Math.Exp(x) - 1;
        }

        double u = Math.Exp(x);
        if (u.Equals(1.0))
        {
            return x;
        }

        return (u - 1) * (x / Math.Log(u));
    }

    /// <summary>exp(−x²) without the loss that squaring a large x brings.</summary>
    public static double ExpMinusSquare(double x)
    {
        double square = x * x;
        double error = Math.FusedMultiplyAdd(x, x, -square);
        return square > 750 ? 0 : Math.Exp(-square) * Math.Exp(-error);
    }
}
