using Hillrow.Numerics.Linear;

namespace Hillrow.Numerics.LeastSquares;

/// <summary>residuals ← f(parameters); false when undefined there.</summary>
public delegate bool ResidualFunction(ReadOnlySpan<double> parameters, Span<double> residuals);

/// <summary>jacobian ← ∂residuals/∂parameters, residuals × parameters, row-major; false when undefined there.</summary>
public delegate bool JacobianFunction(ReadOnlySpan<double> parameters, Span<double> jacobian);

/// <summary>Settings of <see cref="LevenbergMarquardt"/>; each default says why.</summary>
public sealed record LevenbergMarquardtSettings
{
    /// <summary>Steps tried at most. 10,000: the curved valley of MGH10 takes 5,500 short ones from the far start.</summary>
    public int MaximumSteps { get; init; } = 10000;

    /// <summary>Stop when the model promises less than this share of the cost. 1e-14: to working precision.</summary>
    public double CostTolerance { get; init; } = 1e-14;

    /// <summary>Stop when every component of the step is below this share of its parameter.</summary>
    public double StepTolerance { get; init; } = 1e-12;

    /// <summary>First damping relative to the largest column lengths seen.</summary>
    public double InitialDamping { get; init; } = 1e-3;

    /// <summary>
    /// Longest step, as a share of the parameters' own length (both scaled): keeps a far start from leaping onto a
    /// plateau from which no slope leads back.
    /// </summary>
    public double LongestStep { get; init; } = 1;

    /// <summary>Applied to each residual by itself.</summary>
    public RobustLoss Loss { get; init; } = RobustLoss.Trivial;
}

/// <summary>What happened in a dense solve.</summary>
/// <param name="Reason">Why it stopped.</param>
/// <param name="CostBefore">½ Σ ρ(r²) at the start.</param>
/// <param name="CostAfter">The same at the end.</param>
/// <param name="StepsTried">Linear systems solved.</param>
/// <param name="Covariance">
/// parameters × parameters, row-major: (JᵀJ)⁻¹ times 2·cost over the degrees of freedom; null when a parameter is
/// undetermined or no degree of freedom is left.
/// </param>
public sealed record LevenbergMarquardtSummary(
    StopReason Reason,
    double CostBefore,
    double CostAfter,
    int StepsTried,
    double[]? Covariance
)
{
    public bool Converged => Reason is StopReason.CostSettled or StopReason.GradientVanished or StopReason.StepVanished;

    /// <summary>Standard deviation of each parameter, or null without a covariance.</summary>
    public double[]? StandardDeviations()
    {
        if (Covariance is null)
        {
            return null;
        }

        int n = (int)Math.Round(Math.Sqrt(Covariance.Length));
        return [.. Enumerable.Range(0, n).Select(k => Math.Sqrt(Covariance[(k * n) + k]))];
    }
}

/// <summary>Nonlinear least squares with a dense Jacobian: curve fits, small calibrations.</summary>
/// <remarks>
/// Each step is a QR least-squares solve of the Jacobian with the damping rows below it, so the condition is never
/// squared. Scaling by the largest column lengths seen (Moré 1978, doi 10.1007/BFb0067700); damping follows the gain
/// ratio (Nielsen 1999). Checked on the 27 NIST problems, both starts. Losses: see <see cref="RobustLoss"/>.
/// </remarks>
public static class LevenbergMarquardt
{
    private const double GreatestDamping = 1e20;

    /// <summary>Least share of a column's length kept from step to step; 1 starves MGH10, 0 lets BoxBOD run away.</summary>
    private const double ScaleKept = 0.5;

    /// <summary>Moves <paramref name="parameters"/> to a least-squares minimum.</summary>
    /// <param name="residual">The model less the data.</param>
    /// <param name="jacobian">Analytic derivatives, or null for central differences.</param>
    /// <param name="parameters">Start values in, minimum out.</param>
    /// <param name="residualCount">Number of residuals, at least the number of parameters.</param>
    /// <param name="settings">Null for the defaults.</param>
    public static LevenbergMarquardtSummary Solve(
        ResidualFunction residual,
        JacobianFunction? jacobian,
        Span<double> parameters,
        int residualCount,
        LevenbergMarquardtSettings? settings = null
    )
    {
        ArgumentNullException.ThrowIfNull(residual);
        ArgumentOutOfRangeException.ThrowIfLessThan(residualCount, parameters.Length);
        ArgumentOutOfRangeException.ThrowIfZero(parameters.Length);
        var iteration = new Iteration(
            residual,
            jacobian ?? FiniteDifferences.Central(residual, residualCount),
            parameters.Length,
            residualCount,
            settings ?? new LevenbergMarquardtSettings()
        );
        return iteration.Run(parameters);
    }

    private sealed class Iteration
    {
        private readonly ResidualFunction function;
        private readonly JacobianFunction derivative;
        private readonly LevenbergMarquardtSettings settings;
        private readonly int n;
        private readonly int m;
        private readonly double[] residuals;
        private readonly double[] trialResiduals;
        private readonly double[] jacobian;
        private readonly double[] augmented;
        private readonly double[] right;
        private readonly double[] scale;
        private readonly double[] step;
        private readonly double[] trial;
        private readonly HouseholderQr qr;

        public Iteration(
            ResidualFunction residual,
            JacobianFunction jacobianFunction,
            int parameterCount,
            int residualCount,
            LevenbergMarquardtSettings iterationSettings
        )
        {
            function = residual;
            derivative = jacobianFunction;
            settings = iterationSettings;
            n = parameterCount;
            m = residualCount;
            residuals = new double[m];
            trialResiduals = new double[m];
            jacobian = new double[m * n];
            augmented = new double[(m + n) * n];
            right = new double[m + n];
            scale = new double[n];
            step = new double[n];
            trial = new double[n];
            qr = new HouseholderQr(m + n, n);
        }

        public LevenbergMarquardtSummary Run(Span<double> parameters)
        {
            double cost = Cost(parameters, residuals);
            double before = cost;
            if (double.IsNaN(cost) || !Linearize(parameters))
            {
                return new LevenbergMarquardtSummary(StopReason.UndefinedAtStart, cost, cost, 0, null);
            }

            double damping = settings.InitialDamping;
            double growth = 2;
            StopReason reason = StopReason.StepLimit;
            int tried = 0;
            while (tried < settings.MaximumSteps)
            {
                tried++;
                double predicted = SolveStep(damping, parameters, out bool tiny, out bool tooLong);
                if (predicted <= settings.CostTolerance * cost || cost is 0)
                {
                    reason = cost is 0 || predicted > 0 ? StopReason.CostSettled : StopReason.GradientVanished;
                    TakeIfBetter(parameters, ref cost);
                    break;
                }

                double next = tooLong ? double.NaN : Cost(trial, trialResiduals);
                double gain = (cost - next) / predicted;
                if (gain > 1e-4)
                {
                    cost = next;
                    trial.CopyTo(parameters);
                    trialResiduals.CopyTo(residuals, 0);
                    double centred = (2 * gain) - 1;
                    damping *= Math.Max(1.0 / 3, 1 - (centred * centred * centred));
                    growth = 2;
                    if (!Linearize(parameters))
                    {
                        reason = StopReason.NoProgress;
                        break;
                    }
                }
                else
                {
                    damping *= growth;
                    growth *= 2;
                }

                if (tiny)
                {
                    reason = StopReason.StepVanished;
                    break;
                }

                if (damping > GreatestDamping)
                {
                    reason = StopReason.NoProgress;
                    break;
                }
            }

            return new LevenbergMarquardtSummary(reason, before, cost, tried, Covariance(parameters, cost));
        }

        private void TakeIfBetter(Span<double> parameters, ref double cost)
        {
            double next = Cost(trial, trialResiduals);
            if (next <= cost)
            {
                cost = next;
                trial.CopyTo(parameters);
            }
        }

        private double Cost(ReadOnlySpan<double> at, double[] target)
        {
            if (!function(at, target))
            {
                return double.NaN;
            }

            double sum = 0;
            foreach (double value in target)
            {
                sum += settings.Loss.Evaluate(value * value).Value;
            }

            return double.IsFinite(sum) ? sum / 2 : double.NaN;
        }

        /// <summary>Jacobian and residuals weighted by the loss, and the scale brought up to date.</summary>
        private bool Linearize(ReadOnlySpan<double> at)
        {
            if (!derivative(at, jacobian))
            {
                return false;
            }

            for (int row = 0; row < m; row++)
            {
                double weight = Math.Sqrt(settings.Loss.Evaluate(residuals[row] * residuals[row]).First);
                residuals[row] *= weight;
                for (int column = 0; column < n; column++)
                {
                    double value = jacobian[(row * n) + column] * weight;
                    jacobian[(row * n) + column] = value;
                    if (!double.IsFinite(value))
                    {
                        return false;
                    }
                }
            }

            for (int column = 0; column < n; column++)
            {
                double sum = 0;
                for (int row = 0; row < m; row++)
                {
                    sum += jacobian[(row * n) + column] * jacobian[(row * n) + column];
                }

                // Lengths shrink slowly: a column that fades for a while must not set its parameter loose.
                scale[column] = Math.Max(ScaleKept * scale[column], Math.Sqrt(sum));
            }

            return true;
        }

        private double SolveStep(double damping, ReadOnlySpan<double> parameters, out bool tiny, out bool tooLong)
        {
            right.AsSpan(m).Clear();
            augmented.AsSpan(m * n).Clear();
            for (int row = 0; row < m; row++)
            {
                right[row] = -residuals[row];
                for (int k = 0; k < n; k++)
                {
                    augmented[(row * n) + k] = jacobian[(row * n) + k] / Scale(k);
                }
            }

            double root = Math.Sqrt(damping);
            for (int k = 0; k < n; k++)
            {
                augmented[((m + k) * n) + k] = root;
            }

            // Unknowns of very different size are solved for in units of their own, or the rank test misjudges them.
            qr.Factor(augmented);
            qr.Solve(right, step);
            double length = 0;
            double reach = 0;
            for (int k = 0; k < n; k++)
            {
                length += step[k] * step[k];
                reach += parameters[k] * Scale(k) * parameters[k] * Scale(k);
                step[k] /= Scale(k);
            }

            tooLong = reach > 0 && length > settings.LongestStep * settings.LongestStep * reach;
            double predicted = 0;
            for (int row = 0; row < m; row++)
            {
                double change = 0;
                for (int k = 0; k < n; k++)
                {
                    change += jacobian[(row * n) + k] * step[k];
                }

                predicted -= change * (residuals[row] + (change / 2));
            }

            tiny = true;
            for (int k = 0; k < n; k++)
            {
                trial[k] = parameters[k] + step[k];
                tiny &= Math.Abs(step[k]) <= settings.StepTolerance * Math.Abs(parameters[k]);
            }

            return predicted;
        }

        private double Scale(int k) => scale[k] > 0 ? scale[k] : 1;

        private double[]? Covariance(ReadOnlySpan<double> parameters, double cost)
        {
            if (m <= n || double.IsNaN(Cost(parameters, residuals)) || !Linearize(parameters))
            {
                return null;
            }

            for (int index = 0; index < jacobian.Length; index++)
            {
                jacobian[index] /= Scale(index % n);
            }

            var plain = new HouseholderQr(m, n);
            plain.Factor(jacobian);
            double[] inverse = new double[n * n];
            if (!plain.InverseOfNormalMatrix(inverse))
            {
                return null;
            }

            double variance = 2 * cost / (m - n);
            for (int k = 0; k < inverse.Length; k++)
            {
                inverse[k] *= variance / (Scale(k / n) * Scale(k % n));
            }

            return inverse;
        }
    }
}
