namespace Hillrow.Numerics.Distributions;

/// <summary>Inverts a distribution function: Newton steps on the logarithm of the smaller tail, kept in a bracket.</summary>
internal static class TailSolver
{
    private const int MaxSteps = 400;

    /// <summary>The x in (low, high) whose lower tail is p and upper tail q = 1 − p; both given, the smaller is used.</summary>
    /// <param name="low">Finite, or negative infinity.</param>
    /// <param name="high">Finite, or positive infinity.</param>
    public static double Quantile(
        Func<double, double> lowerTail,
        Func<double, double> upperTail,
        Func<double, double> density,
        double p,
        double q,
        double low,
        double high,
        double start
    )
    {
        if (!(p >= 0 && p <= 1 && q >= 0 && q <= 1))
        {
            throw new ArgumentOutOfRangeException(nameof(p), p, "A probability must lie in 0..1.");
        }

        if (p <= 0)
        {
            return low;
        }

        if (q <= 0)
        {
            return high;
        }

        bool useLower = p <= q;
        double logTarget = Math.Log(useLower ? p : q);

        // Sign of the excess: positive when x lies right of the answer.
        double Excess(double x)
        {
            double logTail = Math.Log(useLower ? lowerTail(x) : upperTail(x));
            return useLower ? logTail - logTarget : logTarget - logTail;
        }

        double left = low;
        double right = high;
        double position = start;
        double reach = Math.Max(1, Math.Abs(start));
        for (int step = 0; step < MaxSteps; step++)
        {
            double excess = Excess(position);
            if (excess.Equals(0.0))
            {
                return position;
            }

            if (excess > 0)
            {
                right = position;
            }
            else
            {
                left = position;
            }

            double tail = useLower ? lowerTail(position) : upperTail(position);
            double next = position - (excess * tail / density(position));
            bool inside = next > left && next < right;
            if (!inside || !double.IsFinite(next))
            {
                next = Middle(left, right, position, ref reach);
            }

            if (Math.Abs(next - position) <= 1e-15 * Math.Abs(next) || next.Equals(position))
            {
                return next;
            }

            position = next;
        }

        return position;
    }

    private static double Middle(double left, double right, double position, ref double reach)
    {
        if (double.IsInfinity(right))
        {
            // Heavy tails put quantiles anywhere up to the largest double: grow by factors, not by steps.
            reach = Math.Max(2 * reach, 8 * Math.Abs(position));
            return position + reach;
        }

        if (double.IsInfinity(left))
        {
            reach = Math.Max(2 * reach, 8 * Math.Abs(position));
            return position - reach;
        }

        // Halve exponents when the bracket spans many magnitudes of one sign, else halve the interval.
        if (left > 0 && right / left > 4)
        {
            return Math.Sqrt(left) * Math.Sqrt(right);
        }

        return left >= 0 && left <= 0 && right > 1e-300 ? right * 0.01 : left + ((right - left) / 2);
    }
}
