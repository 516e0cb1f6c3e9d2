namespace Hillrow.Numerics.Distributions;

/// <summary>Logarithm of the gamma function and the regularised incomplete gamma functions.</summary>
public static class GammaFunctions
{
    private const double HalfLogTwoPi = 0.918938533204672741780329736406;

    /// <summary>From here on the Stirling series with nine terms is exact to a double.</summary>
    private const double StirlingFrom = 16;

    /// <summary>ln Γ(x) for x &gt; 0. Absolute error below 1e-14, relative below 1e-15 for large x.</summary>
    /// <exception cref="ArgumentOutOfRangeException">x is not above 0.</exception>
    /// <remarks>Source: Abramowitz &amp; Stegun 1964, 6.1.15 and 6.1.41.</remarks>
    public static double LogGamma(double x)
    {
        if (!(x > 0))
        {
            throw new ArgumentOutOfRangeException(nameof(x), x, "The gamma function is taken here for x > 0 only.");
        }

        if (x.Equals(1.0) || x.Equals(2.0))
        {
            return 0;
        }

        if (x >= StirlingFrom)
        {
            return ((x - 0.5) * Math.Log(x)) - x + HalfLogTwoPi + StirlingError(x);
        }

        double product = 1;
        double shifted = x;
        while (shifted < StirlingFrom)
        {
            product *= shifted;
            shifted++;
        }

        return LogGamma(shifted) - Math.Log(product);
    }

    /// <summary>ln B(a, b) for a, b &gt; 0, without cancellation for large arguments.</summary>
    public static double LogBeta(double a, double b)
    {
        double sum = a + b;
        double small = Math.Min(a, b);
        double large = Math.Max(a, b);
        if (small < StirlingFrom)
        {
            return large < StirlingFrom
                ? LogGamma(a) + LogGamma(b) - LogGamma(sum)
                : LogGamma(small)
                    + StirlingError(large)
                    - StirlingError(sum)
                    + small
                    - (small * Math.Log(sum))
                    - ((large - 0.5) * Elementary.Log1P(small / large));
        }

        return StirlingError(a)
            + StirlingError(b)
            - StirlingError(sum)
            + HalfLogTwoPi
            - (0.5 * Math.Log(small))
            - (small * Elementary.Log1P(large / small))
            - ((large - 0.5) * Elementary.Log1P(small / large));
    }

    /// <summary>
    /// δ(x) = ln Γ(x + 1) − (x + ½) ln x + x − ½ ln 2π, the error of Stirling's formula, x &gt; 0; absolute error below 5e-15.
    /// </summary>
    /// <remarks>Source: Loader 2000, Fast and Accurate Computation of Binomial Probabilities (from memory); Abramowitz &amp; Stegun 6.1.42.</remarks>
    public static double StirlingError(double x)
    {
        double shift = 0;
        while (x < StirlingFrom)
        {
            shift += ((x + 0.5) * Elementary.Log1P(1 / x)) - 1;
            x++;
        }

        double inverse = 1 / x;
        double square = inverse * inverse;
        double series =
            inverse
            * (
                (1.0 / 12)
                - (
                    square
                    * (
                        (1.0 / 360)
                        - (
                            square
                            * (
                                (1.0 / 1260)
                                - (
                                    square
                                    * (
                                        (1.0 / 1680)
                                        - (square * ((1.0 / 1188) - (square * ((691.0 / 360360) - (square / 156)))))
                                    )
                                )
                            )
                        )
                    )
                )
            );
        return shift + series;
    }

    /// <summary>Deviance part: x ln(x / mean) + mean − x, without cancellation near x = mean; x, mean &gt; 0.</summary>
    /// <remarks>Source: Loader 2000, function bd0.</remarks>
    public static double DeviancePart(double x, double mean)
    {
        double difference = x - mean;
        if (Math.Abs(difference) >= 0.1 * (x + mean))
        {
            return (x * Math.Log(x / mean)) + mean - x;
        }

        double ratio = difference / (x + mean);
        double sum = difference * ratio;
        double term = 2 * x * ratio;
        double square = ratio * ratio;
        for (int j = 1; j < 1000; j++)
        {
            term *= square;
            double next = sum + (term / ((2 * j) + 1));
            if (next.Equals(sum))
            {
                break;
            }

            sum = next;
        }

        return sum;
    }

    /// <summary>xᵃ e⁻ˣ / Γ(a + 1), the Poisson probability of a at mean x, for real a ≥ 0.</summary>
    public static double PoissonTerm(double a, double x)
    {
        if (x <= 0)
        {
            return x < 0 || a > 0 ? 0 : 1;
        }

        if (a <= 0)
        {
            return Math.Exp(-x);
        }

        if (double.IsInfinity(x))
        {
            return 0;
        }

        double exponent = -StirlingError(a) - DeviancePart(a, x);
        return Math.Exp(exponent) / Math.Sqrt(2 * Math.PI * a);
    }

    /// <summary>P(a, x), the lower regularised incomplete gamma function; a &gt; 0, x ≥ 0.</summary>
    /// <exception cref="ArgumentOutOfRangeException">a ≤ 0 or x &lt; 0.</exception>
    /// <remarks>Relative error about 1e-13, tails included. Source: Abramowitz &amp; Stegun 6.5.29 (series) and 6.5.31 (fraction, by the modified Lentz method: Thompson &amp; Barnett 1986).</remarks>
    public static double LowerRegularized(double a, double x)
    {
        Check(a, x);
        if (x <= 0)
        {
            return 0;
        }

        return x < a + 1 ? Series(a, x) : 1 - Fraction(a, x);
    }

    /// <summary>Q(a, x) = 1 − P(a, x), accurate in the upper tail.</summary>
    /// <exception cref="ArgumentOutOfRangeException">a ≤ 0 or x &lt; 0.</exception>
    public static double UpperRegularized(double a, double x)
    {
        Check(a, x);
        if (x <= 0)
        {
            return 1;
        }

        return x < a + 1 ? 1 - Series(a, x) : Fraction(a, x);
    }

    private static void Check(double a, double x)
    {
        if (!(a > 0) || double.IsInfinity(a))
        {
            throw new ArgumentOutOfRangeException(nameof(a), a, "The shape must be finite and above 0.");
        }

        if (!(x >= 0))
        {
            throw new ArgumentOutOfRangeException(nameof(x), x, "The argument must be 0 or more.");
        }
    }

    private static double Series(double a, double x)
    {
        double term = 1;
        double sum = 1;
        double denominator = a;
        while (term > sum * 1e-18)
        {
            denominator++;
            term *= x / denominator;
            sum += term;
        }

        return Math.Min(1, PoissonTerm(a, x) * sum);
    }

    private static double Fraction(double a, double x)
    {
        if (double.IsInfinity(x))
        {
            return 0;
        }

        const double Tiny = 1e-300;
        double b = x + 1 - a;
        double c = 1 / Tiny;
        double d = 1 / (Math.Abs(b) < Tiny ? Tiny : b);
        double value = d;
        for (int i = 1; i < 10_000_000; i++)
        {
            double numerator = -i * (i - a);
            b += 2;
            d = (numerator * d) + b;
            d = 1 / (Math.Abs(d) < Tiny ? Tiny : d);
            c = b + (numerator / c);
            c = Math.Abs(c) < Tiny ? Tiny : c;
            double factor = d * c;
            value *= factor;
            if (Math.Abs(factor - 1) < 2e-16)
            {
                break;
            }
        }

        return Math.Min(1, PoissonTerm(a, x) * a * value);
    }
}
