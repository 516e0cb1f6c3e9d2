namespace Hillrow.Numerics.Regression;

/// <summary>A curve y = f(x; parameters).</summary>
/// <param name="gradient">Receives ∂f/∂parameter, one per parameter.</param>
public delegate double CurveModel(double x, ReadOnlySpan<double> parameters, Span<double> gradient);

/// <summary>A fitted curve.</summary>
/// <param name="StandardErrors">σ̂ · sqrt diag (JᵀJ)⁻¹ at the minimum.</param>
/// <param name="Converged">False when the steps ran out or the parameters could not be told apart.</param>
public sealed record CurveFitResult(
    double[] Parameters,
    double[] StandardErrors,
    double ResidualSumOfSquares,
    int ResidualDegrees,
    int Iterations,
    bool Converged
)
{
    public double Sigma => Math.Sqrt(ResidualSumOfSquares / ResidualDegrees);

    /// <summary>Akaike's criterion with normal errors; the variance counts as a parameter.</summary>
    public double Akaike
    {
        get
        {
            int count = ResidualDegrees + Parameters.Length;
            return (count * (Math.Log(2 * Math.PI * ResidualSumOfSquares / count) + 1)) + (2 * (Parameters.Length + 1));
        }
    }
}

/// <summary>Least-squares fit of a curve with a handful of parameters.</summary>
public static class CurveFit
{
    private const int MaxIterations = 500;
    private const double StepTolerance = 1e-12;

    /// <summary>Large, so that the first steps are short and the fit keeps to the valley it starts in (BoxBOD's first start leaves it below 10).</summary>
    private const double FirstDamping = 100;

    /// <summary>Levenberg–Marquardt from a start.</summary>
    /// <param name="x">One per observation.</param>
    /// <param name="y">Same length; finite.</param>
    /// <exception cref="ArgumentException">Lengths differ, or fewer observations than parameters, or a curve not finite at the start.</exception>
    /// <remarks>
    /// Source: Marquardt 1963 (doi 10.1137/0111030) with the column scaling of Moré 1978 (doi 10.1007/BFb0067700);
    /// each damped step by QR. For curves of some thousand points; the sparse and large problems have their own solver.
    /// </remarks>
    public static CurveFitResult Fit(
        CurveModel model,
        ReadOnlySpan<double> x,
        ReadOnlySpan<double> y,
        ReadOnlySpan<double> start
    )
    {
        ArgumentNullException.ThrowIfNull(model);
        Finite.CheckSameLength(x.Length, y.Length, "x, y");
        Finite.Check(x, nameof(x));
        Finite.Check(y, nameof(y));
        int count = start.Length;
        int rows = x.Length;
        if (rows < count || count == 0)
        {
            throw new ArgumentException($"{rows} observations cannot determine {count} parameters.", nameof(x));
        }

        double[] current = start.ToArray();
        double[] trial = new double[count];
        double[] jacobian = new double[(rows + count) * count];
        double[] residuals = new double[rows + count];
        double[] scaling = new double[count];
        double squares = Evaluate(model, x, y, current, jacobian, residuals);
        if (!double.IsFinite(squares))
        {
            throw new ArgumentException("The curve is not finite at the start parameters.", nameof(start));
        }

        double damping = FirstDamping;
        bool converged = squares <= 0;
        int iteration = 0;
        while (iteration < MaxIterations && !converged && damping < 1e25)
        {
            iteration++;
            Scale(jacobian, rows, count, scaling);
            Damp(jacobian, residuals, rows, count, scaling, damping);
            double[] step = LinearRegression.Fit(jacobian, count, residuals).Coefficients;
            double relative = 0;
            for (int i = 0; i < count; i++)
            {
                double change = double.IsNaN(step[i]) ? 0 : step[i];
                trial[i] = current[i] + change;
                relative = Math.Max(relative, Math.Abs(change) / (Math.Abs(current[i]) + 1e-12));
            }

            double next = Evaluate(model, x, y, trial, [], []);
            if (next <= squares)
            {
                converged = relative <= StepTolerance || next <= 0;
                trial.CopyTo(current, 0);
                squares = Evaluate(model, x, y, current, jacobian, residuals);
                damping = Math.Max(damping / 10, 1e-15);
            }
            else
            {
                // At the minimum rounding alone may raise the sum: a vanishing step is then the answer.
                converged = relative <= StepTolerance || (relative <= 1e-9 && next <= squares * (1 + 1e-14));
                damping *= 8;
            }
        }

        LinearFit last = LinearRegression.Fit(jacobian.AsSpan(0, rows * count), count, residuals.AsSpan(0, rows));
        double variance = rows > count ? squares / (rows - count) : double.NaN;
        double[] errors = new double[count];
        for (int i = 0; i < count; i++)
        {
            errors[i] = Math.Sqrt(variance * last.InverseGram[(i * count) + i]);
        }

        return new CurveFitResult(current, errors, squares, rows - count, iteration, converged && last.Rank == count);
    }

    /// <summary>Sum of squares; fills Jacobian and residuals (observed − curve) when they are given.</summary>
    private static double Evaluate(
        CurveModel model,
        ReadOnlySpan<double> x,
        ReadOnlySpan<double> y,
        ReadOnlySpan<double> parameters,
        Span<double> jacobian,
        Span<double> residuals
    )
    {
        Span<double> scratch = stackalloc double[parameters.Length];
        double squares = 0;
        for (int row = 0; row < x.Length; row++)
        {
            Span<double> gradient = jacobian.IsEmpty
                ? scratch
                : jacobian.Slice(row * parameters.Length, parameters.Length);
            double residual = y[row] - model(x[row], parameters, gradient);
            if (!double.IsFinite(residual))
            {
                return double.PositiveInfinity;
            }

            foreach (double slope in gradient)
            {
                if (!double.IsFinite(slope))
                {
                    return double.PositiveInfinity;
                }
            }

            squares += residual * residual;
            if (!residuals.IsEmpty)
            {
                residuals[row] = residual;
            }
        }

        return squares;
    }

    private static void Scale(ReadOnlySpan<double> jacobian, int rows, int count, Span<double> scaling)
    {
        for (int i = 0; i < count; i++)
        {
            double squares = 0;
            for (int row = 0; row < rows; row++)
            {
                double slope = jacobian[(row * count) + i];
                squares += slope * slope;
            }

            scaling[i] = Math.Max(scaling[i], Math.Max(Math.Sqrt(squares), 1e-150));
        }
    }

    private static void Damp(
        Span<double> jacobian,
        Span<double> residuals,
        int rows,
        int count,
        ReadOnlySpan<double> scaling,
        double damping
    )
    {
        jacobian[(rows * count)..].Clear();
        residuals[rows..].Clear();
        for (int i = 0; i < count; i++)
        {
            jacobian[((rows + i) * count) + i] = Math.Sqrt(damping) * scaling[i];
        }
    }
}
