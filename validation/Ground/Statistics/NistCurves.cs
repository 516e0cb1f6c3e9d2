namespace Hillrow.Validation.Ground.Statistics;

/// <summary>The growth-type models of NIST StRD, with gradients.</summary>
internal static class NistCurves
{
    /// <summary>b1 (1 − exp(−b2 x)), BoxBOD.</summary>
    public static double Saturation(double x, ReadOnlySpan<double> b, Span<double> gradient)
    {
        double rest = Math.Exp(-b[1] * x);
        gradient[0] = 1 - rest;
        gradient[1] = b[0] * x * rest;
        return b[0] * (1 - rest);
    }

    /// <summary>b1 / (1 + exp(b2 − b3 x)), Rat42.</summary>
    public static double Logistic(double x, ReadOnlySpan<double> b, Span<double> gradient)
    {
        double power = Math.Exp(b[1] - (b[2] * x));
        double share = 1 / (1 + power);
        gradient[0] = share;
        gradient[1] = -b[0] * power * share * share;
        gradient[2] = b[0] * power * share * share * x;
        return b[0] * share;
    }

    /// <summary>b1 / (1 + exp(b2 − b3 x))^(1/b4), Rat43.</summary>
    public static double PowerLogistic(double x, ReadOnlySpan<double> b, Span<double> gradient)
    {
        double power = Math.Exp(b[1] - (b[2] * x));
        double share = Math.Pow(1 + power, -1 / b[3]);
        double slope = -b[0] * share / b[3] * power / (1 + power);
        gradient[0] = share;
        gradient[1] = slope;
        gradient[2] = -slope * x;
        gradient[3] = b[0] * share * Math.Log(1 + power) / (b[3] * b[3]);
        return b[0] * share;
    }
}
