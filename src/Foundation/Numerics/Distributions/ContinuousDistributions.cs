namespace Hillrow.Numerics.Distributions;

/// <summary>Student's t distribution with real degrees of freedom above 0.</summary>
/// <remarks>Source: Abramowitz &amp; Stegun 26.7.1 through the incomplete beta function. Relative error about 1e-13, tails included.</remarks>
public static class StudentTDistribution
{
    public static double Density(double t, double degrees)
    {
        double ratio = t * t / degrees;
        double log = ratio > 1e20 ? (2 * Math.Log(Math.Abs(t))) - Math.Log(degrees) : Elementary.Log1P(ratio);
        return Math.Exp(
            -((degrees + 1) / 2 * log) - GammaFunctions.LogBeta(degrees / 2, 0.5) - (0.5 * Math.Log(degrees))
        );
    }

    public static double LowerTail(double t, double degrees) => UpperTail(-t, degrees);

    public static double UpperTail(double t, double degrees) =>
        t >= 0 ? TwoTails(t, degrees) / 2 : 1 - (TwoTails(t, degrees) / 2);

    /// <summary>P(|T| ≥ |t|).</summary>
    public static double TwoTails(double t, double degrees)
    {
        Shape.Check(degrees);
        if (double.IsInfinity(degrees))
        {
            return NormalDistribution.TwoTails(t);
        }

        if (double.IsInfinity(t))
        {
            return 0;
        }

        double square = t * t;
        if (square > 1e20 * degrees)
        {
            // The power law of the far tail; exact to a double here, and t² may overflow beyond.
            double shape = degrees / 2;
            return Math.Exp(
                (shape * (Math.Log(degrees) - (2 * Math.Log(Math.Abs(t)))))
                    - Math.Log(shape)
                    - GammaFunctions.LogBeta(shape, 0.5)
            );
        }

        return BetaFunctions.Regularized(degrees / 2, 0.5, degrees / (degrees + square), square / (degrees + square));
    }

    public static double Quantile(double p, double degrees) =>
        p <= 0.5 ? -UpperQuantile(p, degrees) : UpperQuantile(1 - p, degrees);

    public static double UpperQuantile(double q, double degrees)
    {
        Shape.Check(degrees);
        if (q > 0.5)
        {
            return -UpperQuantile(1 - q, degrees);
        }

        if (q.Equals(0.5))
        {
            return 0;
        }

        return TailSolver.Quantile(
            t => LowerTail(t, degrees),
            t => UpperTail(t, degrees),
            t => Density(t, degrees),
            1 - q,
            q,
            0,
            double.PositiveInfinity,
            Math.Min(1e3, NormalDistribution.UpperQuantile(Math.Max(q, 1e-300)))
        );
    }
}

/// <summary>The chi-squared distribution with real degrees of freedom above 0.</summary>
/// <remarks>Source: Abramowitz &amp; Stegun 26.4.19.</remarks>
public static class ChiSquaredDistribution
{
    public static double LowerTail(double x, double degrees) => GammaDistribution.LowerTail(x, degrees / 2, 2);

    public static double UpperTail(double x, double degrees) => GammaDistribution.UpperTail(x, degrees / 2, 2);

    public static double Quantile(double p, double degrees) => GammaDistribution.Quantile(p, degrees / 2, 2);

    public static double UpperQuantile(double q, double degrees) => GammaDistribution.UpperQuantile(q, degrees / 2, 2);
}

/// <summary>The gamma distribution with shape and scale above 0.</summary>
public static class GammaDistribution
{
    public static double Density(double x, double shape, double scale) =>
        x <= 0 ? 0 : GammaFunctions.PoissonTerm(shape, x / scale) * shape / x;

    public static double LowerTail(double x, double shape, double scale)
    {
        Shape.Check(scale);
        return GammaFunctions.LowerRegularized(shape, Math.Max(0, x / scale));
    }

    public static double UpperTail(double x, double shape, double scale)
    {
        Shape.Check(scale);
        return GammaFunctions.UpperRegularized(shape, Math.Max(0, x / scale));
    }

    public static double Quantile(double p, double shape, double scale) => Solve(p, 1 - p, shape, scale);

    public static double UpperQuantile(double q, double shape, double scale) => Solve(1 - q, q, shape, scale);

    private static double Solve(double p, double q, double shape, double scale) =>
        scale
        * TailSolver.Quantile(
            x => LowerTail(x, shape, 1),
            x => UpperTail(x, shape, 1),
            x => Density(x, shape, 1),
            p,
            q,
            0,
            double.PositiveInfinity,
            shape
        );
}

/// <summary>The beta distribution with both shapes above 0.</summary>
public static class BetaDistribution
{
    public static double Density(double x, double a, double b) =>
        x is <= 0 or >= 1 ? 0 : BetaFunctions.BinomialTerm(a, b, x, 1 - x) * (a * b / (a + b)) / (x * (1 - x));

    public static double LowerTail(double x, double a, double b) =>
        BetaFunctions.Regularized(a, b, Math.Clamp(x, 0, 1));

    public static double UpperTail(double x, double a, double b)
    {
        double inside = Math.Clamp(x, 0, 1);
        return BetaFunctions.Regularized(b, a, 1 - inside, inside);
    }

    public static double Quantile(double p, double a, double b) => Solve(p, 1 - p, a, b);

    public static double UpperQuantile(double q, double a, double b) => Solve(1 - q, q, a, b);

    private static double Solve(double p, double q, double a, double b) =>
        TailSolver.Quantile(
            x => LowerTail(x, a, b),
            x => UpperTail(x, a, b),
            x => Density(x, a, b),
            p,
            q,
            0,
            1,
            a / (a + b)
        );
}

/// <summary>Fisher's F distribution; degrees above 0.</summary>
/// <remarks>Source: Abramowitz &amp; Stegun 26.6.2.</remarks>
public static class FisherFDistribution
{
    public static double LowerTail(double f, double degrees1, double degrees2) =>
        f <= 0
            ? 0
            : BetaFunctions.Regularized(
                degrees1 / 2,
                degrees2 / 2,
                degrees1 * f / ((degrees1 * f) + degrees2),
                degrees2 / ((degrees1 * f) + degrees2)
            );

    public static double UpperTail(double f, double degrees1, double degrees2) =>
        f <= 0
            ? 1
            : BetaFunctions.Regularized(
                degrees2 / 2,
                degrees1 / 2,
                degrees2 / ((degrees1 * f) + degrees2),
                degrees1 * f / ((degrees1 * f) + degrees2)
            );

    public static double UpperQuantile(double q, double degrees1, double degrees2)
    {
        double x = BetaDistribution.Quantile(q, degrees2 / 2, degrees1 / 2);
        return degrees2 * (1 - x) / (degrees1 * x);
    }
}

internal static class Shape
{
    public static void Check(double value)
    {
        if (!(value > 0))
        {
            throw new ArgumentOutOfRangeException(
                nameof(value),
                value,
                "Shape, scale and degrees of freedom must be above 0."
            );
        }
    }
}
