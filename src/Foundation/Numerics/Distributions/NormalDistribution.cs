namespace Hillrow.Numerics.Distributions;

/// <summary>The standard normal distribution: both tails, density, quantile. Relative error below 1e-13, tails included.</summary>
public static class NormalDistribution
{
    private const double InverseRootPi = 0.564189583547756286948079451561;

    private const double InverseRootTwoPi = 0.398942280401432677939946059934;

    public static double Density(double x) => InverseRootTwoPi * Elementary.ExpMinusSquare(x / Math.Sqrt(2));

    /// <summary>P(X ≤ x).</summary>
    public static double LowerTail(double x) => UpperTail(-x);

    /// <summary>P(X &gt; x), accurate to the smallest normal double.</summary>
    public static double UpperTail(double x)
    {
        double scaled = x / Math.Sqrt(2);
        return Math.Abs(scaled) < 0.5 ? 0.5 - (0.5 * ErrorFunction(scaled)) : 0.5 * ComplementaryErrorFunction(scaled);
    }

    /// <summary>P(|X| ≥ |x|).</summary>
    public static double TwoTails(double x) => 2 * UpperTail(Math.Abs(x));

    /// <summary>The x with P(X ≤ x) = p; infinite at 0 and 1.</summary>
    /// <exception cref="ArgumentOutOfRangeException">p outside 0..1.</exception>
    /// <remarks>Start: Abramowitz &amp; Stegun 26.2.23 (error 4.5e-4); then Halley steps on our own tail.</remarks>
    public static double Quantile(double p) => p <= 0.5 ? -UpperQuantile(p) : UpperQuantile(1 - p);

    /// <summary>The x with P(X &gt; x) = q.</summary>
    /// <exception cref="ArgumentOutOfRangeException">q outside 0..1.</exception>
    public static double UpperQuantile(double q)
    {
        if (!(q >= 0 && q <= 1))
        {
            throw new ArgumentOutOfRangeException(nameof(q), q, "A probability must lie in 0..1.");
        }

        if (q > 0.5)
        {
            return -UpperQuantile(1 - q);
        }

        if (q <= 0)
        {
            return double.PositiveInfinity;
        }

        double t = Math.Sqrt(-2 * Math.Log(q));
        double x =
            t
            - (
                (2.515517 + (t * (0.802853 + (t * 0.010328))))
                / (1 + (t * (1.432788 + (t * (0.189269 + (t * 0.001308))))))
            );
        for (int step = 0; step < 3; step++)
        {
            double density = Density(x);
            if (density <= 0)
            {
                break;
            }

            double error = (UpperTail(x) - q) / density;
            x += error / (1 - (0.5 * x * error));
        }

        return x;
    }

    /// <summary>erf(x).</summary>
    /// <remarks>Source: Abramowitz &amp; Stegun 7.1.6 (all terms positive, so nothing cancels).</remarks>
    public static double ErrorFunction(double x)
    {
        double size = Math.Abs(x);
        if (!(size < 2.5))
        {
            return double.IsNaN(x) ? x : Math.CopySign(1 - Tail(size), x);
        }

        double square = x * x;
        double term = x;
        double sum = x;
        for (int n = 1; Math.Abs(term) > Math.Abs(sum) * 1e-18; n++)
        {
            term *= 2 * square / ((2 * n) + 1);
            sum += term;
        }

        return 2 * InverseRootPi * Elementary.ExpMinusSquare(x) * sum;
    }

    /// <summary>erfc(x) = 1 − erf(x), accurate in the upper tail.</summary>
    public static double ComplementaryErrorFunction(double x)
    {
        if (double.IsNaN(x))
        {
            return x;
        }

        return x switch
        {
            < 0 => 2 - ComplementaryErrorFunction(-x),
            < 1 => 1 - ErrorFunction(x),
            _ => Tail(x),
        };
    }

    /// <summary>erfc(x) for x ≥ 1 by the continued fraction 7.1.14, run backwards over a depth enough for x = 1.</summary>
    private static double Tail(double x)
    {
        if (x > 27.5)
        {
            return 0;
        }

        int depth = 12 + (int)(160 / (x * x));
        double fraction = x;
        for (int k = depth; k >= 1; k--)
        {
            fraction = x + (0.5 * k / fraction);
        }

        return InverseRootPi * Elementary.ExpMinusSquare(x) / fraction;
    }
}
