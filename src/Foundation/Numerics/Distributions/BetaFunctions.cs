namespace Hillrow.Numerics.Distributions;

/// <summary>The regularised incomplete beta function and the binomial term it rests on.</summary>
public static class BetaFunctions
{
    /// <summary>Binomial probability for real counts: C(successes + failures, successes) pˢ qᶠ, with q = 1 − p given apart.</summary>
    /// <remarks>Source: Loader 2000 (saddle-point form). Relative error about 1e-14 · (1 + |ln result|).</remarks>
    public static double BinomialTerm(double successes, double failures, double p, double q)
    {
        double n = successes + failures;
        if (p <= 0)
        {
            return successes <= 0 ? 1 : 0;
        }

        if (q <= 0)
        {
            return failures <= 0 ? 1 : 0;
        }

        if (successes <= 0)
        {
            return n <= 0 ? 1 : Math.Exp(n * (p < 0.1 ? Elementary.Log1P(-p) : Math.Log(q)));
        }

        if (failures <= 0)
        {
            return Math.Exp(n * (q < 0.1 ? Elementary.Log1P(-q) : Math.Log(p)));
        }

        double exponent =
            GammaFunctions.StirlingError(n)
            - GammaFunctions.StirlingError(successes)
            - GammaFunctions.StirlingError(failures)
            - GammaFunctions.DeviancePart(successes, n * p)
            - GammaFunctions.DeviancePart(failures, n * q);
        return Math.Exp(exponent) * Math.Sqrt(n / (2 * Math.PI * successes * failures));
    }

    /// <summary>I_x(a, b); a, b &gt; 0, 0 ≤ x ≤ 1.</summary>
    public static double Regularized(double a, double b, double x) => Regularized(a, b, x, 1 - x);

    /// <summary>I_x(a, b) with y = 1 − x given apart, so that either tail keeps its digits.</summary>
    /// <exception cref="ArgumentOutOfRangeException">a or b not above 0, or x outside 0..1.</exception>
    /// <remarks>
    /// Relative error about 1e-13, in the small tail too. Source: Didonato &amp; Morris 1992 (doi 10.1145/131766.131776),
    /// eq. 9 (continued fraction), by the modified Lentz method.
    /// </remarks>
    public static double Regularized(double a, double b, double x, double y)
    {
        if (!(a > 0) || !(b > 0))
        {
            throw new ArgumentOutOfRangeException(nameof(a), $"Both shapes must be above 0, not {a} and {b}.");
        }

        if (!(x >= 0) || !(y >= 0))
        {
            throw new ArgumentOutOfRangeException(nameof(x), x, "The argument must lie in 0..1.");
        }

        if (x <= 0)
        {
            return 0;
        }

        if (y <= 0)
        {
            return 1;
        }

        return x * (a + b) > a ? 1 - Math.Min(1, Fraction(b, a, y, x)) : Math.Min(1, Fraction(a, b, x, y));
    }

    private static double Fraction(double a, double b, double x, double y)
    {
        const double Tiny = 1e-300;
        double prefactor = BinomialTerm(a, b, x, y) * (a * b / (a + b));
        double lambda = (a * y) - (b * x); // a − (a + b) x, without its cancellation for x near 1
        double d = 0;
        double c = 1 / Tiny;
        double value = 1;
        double alpha = 1; // with c at 1/Tiny, the first convergent is 1/beta
        for (int n = 0; n < 10_000_000; n++)
        {
            double beta =
                n
                + (n * (b - n) * x / (a + (2.0 * n) - 1))
                + ((a + n) / (a + (2.0 * n) + 1) * (lambda + 1 + (n * (1 + y))));
            if (n == 0)
            {
                beta = a / (a + 1) * (lambda + 1);
            }

            d = beta + (alpha * d);
            d = Math.Abs(d) < Tiny ? Tiny : d;
            c = n == 0 ? c : beta + (alpha / c);
            c = Math.Abs(c) < Tiny ? Tiny : c;
            d = 1 / d;
            double factor = n == 0 ? d : c * d;
            value *= factor;
            if (n > 0 && Math.Abs(factor - 1) < 2e-16)
            {
                break;
            }

            double step = a + (2.0 * n) + 1;
            alpha = (a + n) * (a + b + n) * (n + 1) * (b - n - 1) * x * x / (step * step);
        }

        return prefactor * value;
    }
}
