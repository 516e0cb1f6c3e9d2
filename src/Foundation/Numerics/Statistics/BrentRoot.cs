namespace Hillrow.Numerics.Statistics;

/// <summary>The zero of a continuous function inside a bracket.</summary>
/// <remarks>Source: Brent 1973, Algorithms for Minimization without Derivatives, ch. 4 (procedure zero; from memory).</remarks>
public static class BrentRoot
{
    private const int MaxSteps = 1000;

    /// <summary>Finds x with function(x) = 0 to within the tolerance plus a few ulp.</summary>
    /// <exception cref="ArgumentException">The function has one sign at both ends.</exception>
    public static double Find(Func<double, double> function, double low, double high, double tolerance)
    {
        ArgumentNullException.ThrowIfNull(function);
        double a = low;
        double b = high;
        double atA = function(a);
        double atB = function(b);
        if (atA.Equals(0.0) || atB.Equals(0.0))
        {
            return atA.Equals(0.0) ? a : b;
        }

        if (Math.Sign(atA) == Math.Sign(atB))
        {
            throw new ArgumentException($"No sign change between {low} ({atA}) and {high} ({atB}).", nameof(function));
        }

        double c = a;
        double atC = atA;
        for (int step = 0; step < MaxSteps; step++)
        {
            double previous = b - a;
            if (Math.Abs(atC) < Math.Abs(atB))
            {
                (a, b, c) = (b, c, b);
                (atA, atB, atC) = (atB, atC, atB);
            }

            double allowed = (2 * 2.220446049250313e-16 * Math.Abs(b)) + (tolerance / 2);
            double half = (c - b) / 2;
            if (Math.Abs(half) <= allowed || atB.Equals(0.0))
            {
                break;
            }

            double move = half;
            if (Math.Abs(previous) >= allowed && Math.Abs(atA) > Math.Abs(atB))
            {
                (double p, double q) = Interpolate(a, b, c, atA, atB, atC);
                if (p < (0.75 * (c - b) * q) - (Math.Abs(allowed * q) / 2) && p < Math.Abs(previous * q / 2))
                {
                    move = p / q;
                }
            }

            if (Math.Abs(move) < allowed)
            {
                move = move > 0 ? allowed : -allowed;
            }

            (a, atA) = (b, atB);
            b += move;
            atB = function(b);
            if (Math.Sign(atB) == Math.Sign(atC) && Math.Sign(atB) != 0)
            {
                (c, atC) = (a, atA);
            }
        }

        return b;
    }

    /// <summary>The step p / q of the secant, or of inverse quadratic interpolation when three points differ; p ≥ 0.</summary>
    private static (double P, double Q) Interpolate(double a, double b, double c, double atA, double atB, double atC)
    {
        double p;
        double q;
        double ratio = atB / atA;
        if (a.Equals(c))
        {
            p = (c - b) * ratio;
            q = 1 - ratio;
        }
        else
        {
            double first = atA / atC;
            double second = atB / atC;
            p = ratio * (((c - b) * first * (first - second)) - ((b - a) * (second - 1)));
            q = (first - 1) * (second - 1) * (ratio - 1);
        }

        return p > 0 ? (p, -q) : (-p, q);
    }
}
