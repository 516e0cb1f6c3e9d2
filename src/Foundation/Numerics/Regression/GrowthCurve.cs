namespace Hillrow.Numerics.Regression;

/// <summary>The growth curves that can find their own start.</summary>
public enum GrowthCurveKind
{
    /// <summary>Asym / (1 + exp((xmid − x) / scal)); parameters Asym, xmid, scal.</summary>
    Logistic,

    /// <summary>Asym · exp(−b2 · b3ˣ); parameters Asym, b2, b3.</summary>
    Gompertz,

    /// <summary>Asym + (R0 − Asym) · exp(−exp(lrc) · x); parameters Asym, R0, lrc.</summary>
    Asymptotic,
}

/// <summary>Growth over time (regrowth after stumping, crown size): three-parameter curves fitted without a start.</summary>
/// <remarks>
/// Forms: Pinheiro &amp; Bates 2000, Mixed-Effects Models, appendix C; Gompertz 1825. The start is the best of a coarse
/// grid over the nonlinear parameters, the linear ones solved at each node (variable projection, Golub &amp; Pereyra
/// 1973, doi 10.1137/0710036); the five best nodes are refined and the lowest sum of squares wins.
/// </remarks>
public static class GrowthCurve
{
    private const int Refined = 5;

    /// <summary>Fits the curve.</summary>
    /// <param name="x">At least three different values.</param>
    /// <exception cref="ArgumentException">Lengths differ, values not finite, or fewer than three different x.</exception>
    public static CurveFitResult Fit(GrowthCurveKind kind, ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        Finite.CheckSameLength(x.Length, y.Length, "x, y");
        Finite.Check(x, nameof(x));
        Finite.Check(y, nameof(y));
        if (new HashSet<double>(x.ToArray()).Count < 3)
        {
            throw new ArgumentException("A growth curve needs at least three different x.", nameof(x));
        }

        CurveModel model = Model(kind);
        CurveFitResult? best = null;
        foreach (double[] start in Starts(kind, x, y))
        {
            CurveFitResult fit = CurveFit.Fit(model, x, y, start);
            if (best is null || fit.ResidualSumOfSquares < best.ResidualSumOfSquares)
            {
                best = fit;
            }
        }

        return best ?? throw new ArgumentException("No start of this growth curve is finite on these x.", nameof(x));
    }

    /// <summary>The curve with its gradient.</summary>
    public static CurveModel Model(GrowthCurveKind kind) =>
        kind switch
        {
            GrowthCurveKind.Logistic => Logistic,
            GrowthCurveKind.Gompertz => Gompertz,
            GrowthCurveKind.Asymptotic => Asymptotic,
            _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "Unknown growth curve."),
        };

    private static double Logistic(double x, ReadOnlySpan<double> p, Span<double> gradient)
    {
        double distance = (p[1] - x) / p[2];
        double power = Math.Exp(distance);
        double share = 1 / (1 + power);
        double slope = distance > 300 ? 0 : p[0] * power * share * share / p[2];
        gradient[0] = share;
        gradient[1] = -slope;
        gradient[2] = slope * distance;
        return p[0] * share;
    }

    private static double Gompertz(double x, ReadOnlySpan<double> p, Span<double> gradient)
    {
        double power = Math.Pow(p[2], x);
        double share = Math.Exp(-p[1] * power);
        gradient[0] = share;
        gradient[1] = -p[0] * share * power;
        gradient[2] = -p[0] * share * p[1] * x * Math.Pow(p[2], x - 1);
        return p[0] * share;
    }

    private static double Asymptotic(double x, ReadOnlySpan<double> p, Span<double> gradient)
    {
        double rate = Math.Exp(p[2]);
        double rest = Math.Exp(-rate * x);
        gradient[0] = 1 - rest;
        gradient[1] = rest;
        gradient[2] = -(p[1] - p[0]) * rest * rate * x;
        return p[0] + ((p[1] - p[0]) * rest);
    }

    private static List<double[]> Starts(GrowthCurveKind kind, ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        double low = double.PositiveInfinity;
        double high = double.NegativeInfinity;
        foreach (double value in x)
        {
            low = Math.Min(low, value);
            high = Math.Max(high, value);
        }

        double range = high - low;
        List<(double Squares, double[] Start)> nodes = [];
        for (int speed = 0; speed < 25; speed++)
        {
            double rate = 0.1 * Math.Pow(10, speed / 8.0) / range;
            foreach (int sign in (ReadOnlySpan<int>)[1, -1])
            {
                if (kind == GrowthCurveKind.Asymptotic)
                {
                    if (sign > 0)
                    {
                        AddAsymptotic(nodes, x, y, rate);
                    }

                    continue;
                }

                for (int place = 0; place <= 30; place++)
                {
                    double middle = low - range + (range * place / 10);
                    AddOneScale(nodes, kind, x, y, sign * rate, middle);
                }
            }
        }

        nodes.Sort((first, second) => first.Squares.CompareTo(second.Squares));
        return nodes.ConvertAll(node => node.Start)[..Math.Min(Refined, nodes.Count)];
    }

    private static void AddOneScale(
        List<(double Squares, double[] Start)> nodes,
        GrowthCurveKind kind,
        ReadOnlySpan<double> x,
        ReadOnlySpan<double> y,
        double rate,
        double middle
    )
    {
        double[] start =
            kind == GrowthCurveKind.Logistic ? [1, middle, 1 / rate] : [1, Math.Exp(rate * middle), Math.Exp(-rate)];
        CurveModel model = Model(kind);
        Span<double> gradient = stackalloc double[3];
        double product = 0;
        double square = 0;
        double total = 0;
        for (int i = 0; i < x.Length; i++)
        {
            double share = model(x[i], start, gradient);
            product += share * y[i];
            square += share * share;
            total += y[i] * y[i];
        }

        start[0] = product / square;
        double squares = total - (product * product / square);
        if (double.IsFinite(squares) && double.IsFinite(start[0]))
        {
            nodes.Add((squares, start));
        }
    }

    private static void AddAsymptotic(
        List<(double Squares, double[] Start)> nodes,
        ReadOnlySpan<double> x,
        ReadOnlySpan<double> y,
        double rate
    )
    {
        double[] design = new double[2 * x.Length];
        for (int i = 0; i < x.Length; i++)
        {
            double rest = Math.Exp(-rate * x[i]);
            design[2 * i] = 1 - rest;
            design[(2 * i) + 1] = rest;
            if (!double.IsFinite(rest))
            {
                return;
            }
        }

        LinearFit fit = LinearRegression.Fit(design, 2, y);
        if (fit.Rank == 2)
        {
            nodes.Add((fit.ResidualSumOfSquares, [fit.Coefficients[0], fit.Coefficients[1], Math.Log(rate)]));
        }
    }
}
