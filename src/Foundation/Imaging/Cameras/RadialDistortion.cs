namespace Hillrow.Imaging;

/// <summary>The radial polynomial r(1 + k1 r² + k2 r⁴ + k3 r⁶): how far it is one-to-one, and its inverse there.</summary>
public static class RadialDistortion
{
    /// <summary>Square of the radius at which the polynomial stops growing; positive infinity when it never does.</summary>
    /// <remarks>The first positive root in s = r² of 1 + 3 k1 s + 5 k2 s² + 7 k3 s³, bracketed between the cubic's turning points.</remarks>
    public static double MonotoneRadiusSquared(double k1, double k2, double k3)
    {
        double Slope(double s) => 1 + (s * ((3 * k1) + (s * ((5 * k2) + (s * 7 * k3)))));

        // Between turning points the cubic is monotone, so a sign change brackets exactly one root.
        Span<double> turns = [double.NaN, double.NaN];
        (double a, double b, double c) = (21 * k3, 10 * k2, 3 * k1);
        if (a == 0)
        {
            turns[0] = b == 0 ? double.NaN : -c / b;
        }
        else
        {
            double discriminant = (b * b) - (4 * a * c);
            if (discriminant >= 0)
            {
                double q = -0.5 * (b + (b < 0 ? -Math.Sqrt(discriminant) : Math.Sqrt(discriminant)));
                turns[0] = q / a;
                turns[1] = q == 0 ? double.NaN : c / q;
            }
        }

        turns.Sort();
        double low = 0;
        foreach (double turn in turns)
        {
            if (turn > low && double.IsFinite(turn))
            {
                if (!(Slope(turn) > 0))
                {
                    return Bisect(Slope, low, turn);
                }

                low = turn;
            }
        }

        double leading =
            k3 != 0 ? k3
            : k2 != 0 ? k2
            : k1;
        if (leading >= 0)
        {
            return double.PositiveInfinity;
        }

        double high = Math.Max(1, 2 * low);
        while (Slope(high) > 0 && high < 1e30)
        {
            high *= 2;
        }

        return high < 1e30 ? Bisect(Slope, low, high) : double.PositiveInfinity;
    }

    /// <summary>The radius whose distorted radius is given; false when none below the limit has it.</summary>
    public static bool TryInvert(
        double distortedRadius,
        double k1,
        double k2,
        double k3,
        double radiusSquaredLimit,
        out double radius
    )
    {
        double low = 0;
        double high = Math.Sqrt(radiusSquaredLimit);
        radius = Math.Min(distortedRadius, 0.999 * high);
        for (int step = 0; step < 200; step++)
        {
            double s = radius * radius;
            double off = (radius * (1 + (s * (k1 + (s * (k2 + (s * k3))))))) - distortedRadius;
            if (Math.Abs(off) <= 1e-15 * (1 + distortedRadius))
            {
                return true;
            }

            if (off > 0)
            {
                high = radius;
            }
            else
            {
                low = radius;
            }

            double slope = 1 + (s * ((3 * k1) + (s * ((5 * k2) + (s * 7 * k3)))));
            double next = radius - (off / slope);
            if (!(next > low && next < high))
            {
                next = double.IsFinite(high) ? 0.5 * (low + high) : (2 * radius) + 1;
            }

            if (next.Equals(radius))
            {
                break;
            }

            radius = next;
        }

        double square = radius * radius;
        double left = (radius * (1 + (square * (k1 + (square * (k2 + (square * k3))))))) - distortedRadius;
        return Math.Abs(left) <= 1e-12 * (1 + distortedRadius);
    }

    private static double Bisect(Func<double, double> slope, double positive, double negative)
    {
        while (true) // halves until no double lies between: about 1,100 steps at the very most
        {
            double middle = 0.5 * (positive + negative);
            if (middle <= positive || middle >= negative)
            {
                return positive;
            }

            if (slope(middle) > 0)
            {
                positive = middle;
            }
            else
            {
                negative = middle;
            }
        }
    }
}
