using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Intake;

/// <summary>How wrong receiver and attitude are, and for how long; standard errors.</summary>
/// <remarks>
/// Common practice, no source: a receiver without corrections wanders over minutes, an attitude without a second antenna
/// over half a minute, its heading longer and wider. What the captures state of their positions comes first.
/// </remarks>
internal sealed record InstrumentErrors
{
    public double HorizontalMetres { get; init; } = 1.5;

    public double VerticalMetres { get; init; } = 2.5;

    public double TiltRadians { get; init; } = 1.0 * Math.PI / 180;

    public double HeadingRadians { get; init; } = 2.5 * Math.PI / 180;

    /// <summary>After this time an error is as good as a new one.</summary>
    public double ReceiverSeconds { get; init; } = 200;

    public double TiltSeconds { get; init; } = 40;

    public double HeadingSeconds { get; init; } = 80;

    /// <summary>Of each capture for itself.</summary>
    public double ReceiverNoiseMetres { get; init; } = 0.08;

    public double AttitudeNoiseRadians { get; init; } = 0.15 * Math.PI / 180;
}

/// <summary>
/// What a capture's correction is expected to be: small by itself, and near the one before it; first-order Gauss–Markov
/// (A. Gelb (ed.) 1974, Applied Optimal Estimation, sec. 3.6, from memory) with noise of each capture on top.
/// </summary>
internal sealed class InstrumentDrift : ResidualGroup
{
    private const int Size = TieResiduals.CorrectionSize;
    private readonly IReadOnlyList<int> blocks;
    private readonly double[] keep;
    private readonly double[] weight;

    /// <param name="blocks">Of a sortie's captures in the order of time.</param>
    /// <param name="seconds">Their times.</param>
    /// <param name="errors">Of the sortie.</param>
    private InstrumentDrift(IReadOnlyList<int> blocks, IReadOnlyList<double> seconds, InstrumentErrors errors)
        : base(blocks.Count - 1, Size, [Size, Size], usesPoint: false, RobustLoss.Trivial)
    {
        this.blocks = blocks;
        keep = new double[Count * Size];
        weight = new double[Count * Size];
        for (int link = 0; link < Count; link++)
        {
            double step = Math.Max(0, seconds[link + 1] - seconds[link]);
            for (int axis = 0; axis < Size; axis++)
            {
                (double sigma, double lasting, double noise) = Of(axis, errors);
                double kept = Math.Exp(-step / lasting);
                keep[(link * Size) + axis] = kept;
                weight[(link * Size) + axis] =
                    1 / Math.Sqrt((sigma * sigma * (1 - (kept * kept))) + (2 * noise * noise));
            }
        }
    }

    /// <summary>Adds a sortie's expectations to a problem.</summary>
    public static void AddTo(
        BlockProblem problem,
        IReadOnlyList<int> blocks,
        IReadOnlyList<double> seconds,
        InstrumentErrors errors
    )
    {
        problem.AddResiduals(new FirstOne(blocks[0], errors));
        if (blocks.Count > 1)
        {
            problem.AddResiduals(new InstrumentDrift(blocks, seconds, errors));
        }
    }

    /// <summary>Axes: place east, north, up; turn about the camera's x, y (tilts) and view (heading).</summary>
    private static (double Sigma, double Seconds, double Noise) Of(int axis, InstrumentErrors errors) =>
        axis switch
        {
            0 or 1 => (errors.HorizontalMetres, errors.ReceiverSeconds, Noise(errors, errors.HorizontalMetres)),
            2 => (errors.VerticalMetres, errors.ReceiverSeconds, Noise(errors, errors.VerticalMetres)),
            3 or 4 => (errors.TiltRadians, errors.TiltSeconds, errors.AttitudeNoiseRadians),
            _ => (errors.HeadingRadians, errors.HeadingSeconds, 2 * errors.AttitudeNoiseRadians),
        };

    private static double Noise(InstrumentErrors errors, double sigma) => Math.Min(errors.ReceiverNoiseMetres, sigma);

    public override int SharedBlock(int residual, int slot) => blocks[residual + slot];

    public override int Point(int residual) => -1;

    public override bool Evaluate(
        ReadOnlySpan<int> which,
        ParameterValues parameters,
        Span<double> residuals,
        Span<double> jacobians
    )
    {
        const int Width = 2 * Size;
        jacobians.Clear();
        for (int place = 0; place < which.Length; place++)
        {
            ReadOnlySpan<double> before = parameters.Shared(blocks[which[place]]);
            ReadOnlySpan<double> after = parameters.Shared(blocks[which[place] + 1]);
            for (int axis = 0; axis < Size; axis++)
            {
                int at = (which[place] * Size) + axis;
                int row = (place * Size) + axis;
                residuals[row] = weight[at] * (after[axis] - (keep[at] * before[axis]));
                if (!jacobians.IsEmpty)
                {
                    jacobians[(row * Width) + axis] = -weight[at] * keep[at];
                    jacobians[(row * Width) + Size + axis] = weight[at];
                }
            }
        }

        return true;
    }

    private sealed class FirstOne(int block, InstrumentErrors errors)
        : ResidualGroup(1, Size, [Size], usesPoint: false, RobustLoss.Trivial)
    {
        public override int SharedBlock(int residual, int slot) => block;

        public override int Point(int residual) => -1;

        public override bool Evaluate(
            ReadOnlySpan<int> which,
            ParameterValues parameters,
            Span<double> residuals,
            Span<double> jacobians
        )
        {
            jacobians.Clear();
            for (int axis = 0; axis < Size; axis++)
            {
                (double sigma, _, double noise) = Of(axis, errors);
                double whole = Math.Sqrt((sigma * sigma) + (noise * noise));
                residuals[axis] = parameters.Shared(block)[axis] / whole;
                if (!jacobians.IsEmpty)
                {
                    jacobians[(axis * Size) + axis] = 1 / whole;
                }
            }

            return true;
        }
    }
}
