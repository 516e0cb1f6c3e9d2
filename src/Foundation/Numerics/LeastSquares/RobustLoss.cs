namespace Hillrow.Numerics.LeastSquares;

/// <summary>How a squared residual counts towards the cost.</summary>
public enum RobustLossKind
{
    /// <summary>ρ(s) = s.</summary>
    Trivial,

    /// <summary>ρ(s) = s up to a², then 2a√s − a².</summary>
    Huber,

    /// <summary>ρ(s) = 2a²(√(1 + s/a²) − 1).</summary>
    SoftL1,

    /// <summary>ρ(s) = a² ln(1 + s/a²).</summary>
    Cauchy,

    /// <summary>ρ(s) = a²/3·(1 − (1 − s/a²)³) up to a², then a²/3: far outliers stop counting.</summary>
    Tukey,
}

/// <summary>
/// A robust loss ρ applied to the squared norm s of one residual, times a factor; the cost is ½ Σ factor·ρ(s).
/// </summary>
/// <remarks>
/// The solvers weigh residual and Jacobian by √ρ′ (iteratively reweighted least squares). All losses here have
/// ρ″ ≤ 0, where the second-order term of Triggs et al. 2000 (Bundle Adjustment: A Modern Synthesis, sec. 4.3) would
/// take curvature away and can make the normal matrix indefinite; without it every step stays a descent step.
/// </remarks>
public readonly record struct RobustLoss
{
    private readonly double factorLessOne;

    private RobustLoss(RobustLossKind kind, double scale, double factor)
    {
        Kind = kind;
        Scale = scale;
        factorLessOne = factor - 1;
    }

    public static RobustLoss Trivial => default;

    public RobustLossKind Kind { get; }

    /// <summary>The a of the formulas, in the residual's unit; 0 for the trivial loss.</summary>
    public double Scale { get; }

    /// <summary>Multiplies ρ.</summary>
    public double Factor => 1 + factorLessOne;

    public static RobustLoss Huber(double scale) => Of(RobustLossKind.Huber, scale);

    public static RobustLoss SoftL1(double scale) => Of(RobustLossKind.SoftL1, scale);

    public static RobustLoss Cauchy(double scale) => Of(RobustLossKind.Cauchy, scale);

    public static RobustLoss Tukey(double scale) => Of(RobustLossKind.Tukey, scale);

    /// <summary>The same loss times a factor above 0.</summary>
    public RobustLoss Scaled(double factor)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(factor);
        return new RobustLoss(Kind, Scale, Factor * factor);
    }

    /// <summary>factor·ρ(s) and its first two derivatives in s, for s ≥ 0.</summary>
    public RobustLossValue Evaluate(double s)
    {
        double square = Scale * Scale;
        double factor = Factor;
        switch (Kind)
        {
            case RobustLossKind.Huber:
                if (s <= square)
                {
                    return new RobustLossValue(factor * s, factor, 0);
                }

                double root = Math.Sqrt(s);
                double slope = Scale / root;
                return new RobustLossValue(
                    factor * ((2 * Scale * root) - square),
                    factor * slope,
                    -factor * slope / (2 * s)
                );
            case RobustLossKind.SoftL1:
                double lifted = Math.Sqrt(1 + (s / square));
                return new RobustLossValue(
                    factor * 2 * s / (1 + lifted),
                    factor / lifted,
                    -factor / (2 * square * lifted * lifted * lifted)
                );
            case RobustLossKind.Cauchy:
                double sum = 1 + (s / square);
                return new RobustLossValue(
                    factor * square * Math.Log(sum),
                    factor / sum,
                    -factor / (square * sum * sum)
                );
            case RobustLossKind.Tukey:
                if (s >= square)
                {
                    return new RobustLossValue(factor * square / 3, 0, 0);
                }

                double rest = 1 - (s / square);
                return new RobustLossValue(
                    factor * square / 3 * (1 - (rest * rest * rest)),
                    factor * rest * rest,
                    -2 * factor * rest / square
                );
            default:
                return new RobustLossValue(factor * s, factor, 0);
        }
    }

    private static RobustLoss Of(RobustLossKind kind, double scale) =>
        scale > 0 && double.IsFinite(scale)
            ? new RobustLoss(kind, scale, 1)
            : throw new ArgumentOutOfRangeException(nameof(scale), scale, "A loss scale must be finite and above 0.");
}

/// <summary>Value of a loss and its derivatives with respect to the squared residual.</summary>
public readonly record struct RobustLossValue(double Value, double First, double Second);
