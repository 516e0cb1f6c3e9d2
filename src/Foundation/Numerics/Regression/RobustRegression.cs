namespace Hillrow.Numerics.Regression;

/// <summary>How strongly a residual counts: weight and slope of psi at a scaled residual.</summary>
/// <remarks>Efficiency of the default constants is 95 % at normal errors (Hampel: the classical 2, 4, 8).</remarks>
public abstract record RobustLoss
{
    public abstract double Weight(double scaledResidual);

    public abstract double PsiSlope(double scaledResidual);
}

/// <summary>Huber 1964 (doi 10.1214/aoms/1177703732).</summary>
public sealed record HuberLoss(double K = 1.345) : RobustLoss
{
    public override double Weight(double scaledResidual) => Math.Min(1, K / Math.Abs(scaledResidual));

    public override double PsiSlope(double scaledResidual) => Math.Abs(scaledResidual) <= K ? 1 : 0;
}

/// <summary>Tukey's bisquare (Beaton &amp; Tukey 1974, doi 10.1080/00401706.1974.10489171).</summary>
public sealed record BisquareLoss(double C = 4.685) : RobustLoss
{
    public override double Weight(double scaledResidual)
    {
        double share = Math.Min(1, Math.Abs(scaledResidual / C));
        double inside = 1 - (share * share);
        return inside * inside;
    }

    public override double PsiSlope(double scaledResidual)
    {
        double share = Math.Min(1, Math.Abs(scaledResidual / C));
        double square = share * share;
        return (1 - square) * (1 - (5 * square));
    }
}

/// <summary>Hampel's three-part loss (Hampel 1974, doi 10.1080/01621459.1974.10482962).</summary>
public sealed record HampelLoss(double A = 2, double B = 4, double C = 8) : RobustLoss
{
    public override double Weight(double scaledResidual)
    {
        double size = Math.Abs(scaledResidual);
        return size switch
        {
            _ when size <= A => 1,
            _ when size <= B => A / size,
            _ when size <= C => A * (C - size) / (C - B) / size,
            _ => 0,
        };
    }

    public override double PsiSlope(double scaledResidual)
    {
        double size = Math.Abs(scaledResidual);
        return size switch
        {
            _ when size <= A => 1,
            _ when size <= B => 0,
            _ when size <= C => -A / (C - B),
            _ => 0,
        };
    }
}

/// <summary>A robust linear fit.</summary>
/// <param name="Scale">Median absolute residual / 0.6745.</param>
/// <param name="Weights">Final weight of each row, 0..1.</param>
/// <param name="Converged">False when the iterations ran out; the fit is then the last iterate.</param>
public sealed record RobustFit(
    double[] Coefficients,
    double[] StandardErrors,
    double Scale,
    double[] Weights,
    double[] Residuals,
    int Iterations,
    bool Converged
);

/// <summary>M-estimation of a linear model by iteratively reweighted least squares, scale re-estimated at each step.</summary>
public static class RobustRegression
{
    /// <summary>Fits from ordinary least squares, or from the given coefficients for losses with many minima.</summary>
    /// <param name="design">Rows × Columns, row-major, constant column included.</param>
    /// <param name="start">Start coefficients; null for ordinary least squares.</param>
    /// <exception cref="ArgumentException">Lengths differ, values not finite, fewer rows than columns, or dependent columns.</exception>
    /// <remarks>
    /// Source: Huber 1981, Robust Statistics, ch. 7; standard errors by his eq. 7.6.6 with the correction factor
    /// K = 1 + p/n · var(ψ′)/mean(ψ′)². A zero scale (more than half the rows fit exactly) stops the iterations.
    /// </remarks>
    public static RobustFit Fit(
        ReadOnlySpan<double> design,
        int columns,
        ReadOnlySpan<double> response,
        RobustLoss loss,
        double tolerance = 1e-12,
        int maxIterations = 500,
        ReadOnlySpan<double> start = default
    )
    {
        ArgumentNullException.ThrowIfNull(loss);
        LinearFit ordinary = LinearRegression.Fit(design, columns, response);
        if (ordinary.Rank < columns)
        {
            throw new ArgumentException(
                $"The design has rank {ordinary.Rank} for {columns} columns; drop the dependent ones.",
                nameof(design)
            );
        }

        int rows = response.Length;
        double[] coefficients = ordinary.Coefficients;
        double[] residuals = ordinary.Residuals;
        if (!start.IsEmpty)
        {
            coefficients = start.ToArray();
            residuals = Residuals(design, columns, response, coefficients);
        }

        double[] weights = new double[rows];
        double[] scratch = new double[rows];
        double scale = 0;
        bool converged = false;
        int iteration = 0;
        while (iteration < maxIterations && !converged)
        {
            iteration++;
            scale = Scale(residuals, scratch);
            if (scale <= 0)
            {
                converged = true;
                Array.Fill(weights, 1);
                break;
            }

            for (int row = 0; row < rows; row++)
            {
                weights[row] = loss.Weight(residuals[row] / scale);
            }

            LinearFit step = LinearRegression.Fit(design, columns, response, weights);
            if (step.Rank < columns)
            {
                throw new ArgumentException(
                    "So many rows were rejected that the rest does not determine the coefficients.",
                    nameof(design)
                );
            }

            coefficients = step.Coefficients;
            converged = RelativeChange(residuals, step.Residuals) <= tolerance;
            residuals = step.Residuals;
        }

        return new RobustFit(
            coefficients,
            StandardErrors(ordinary, residuals, scale, loss),
            scale,
            weights,
            residuals,
            iteration,
            converged
        );
    }

    /// <summary>Median |residual| / 0.6745 (about zero).</summary>
    private static double Scale(double[] residuals, double[] scratch)
    {
        for (int row = 0; row < residuals.Length; row++)
        {
            scratch[row] = Math.Abs(residuals[row]);
        }

        return Statistics.Quantiles.MedianInPlace(scratch) / 0.6745;
    }

    private static double RelativeChange(double[] before, double[] after)
    {
        double change = 0;
        double size = 1e-20;
        for (int row = 0; row < before.Length; row++)
        {
            double difference = before[row] - after[row];
            change += difference * difference;
            size += before[row] * before[row];
        }

        return Math.Sqrt(change / size);
    }

    private static double[] Residuals(
        ReadOnlySpan<double> design,
        int columns,
        ReadOnlySpan<double> response,
        double[] coefficients
    )
    {
        Finite.CheckSameLength(coefficients.Length, columns, "start, design columns");
        double[] residuals = new double[response.Length];
        for (int row = 0; row < residuals.Length; row++)
        {
            double rest = response[row];
            for (int column = 0; column < columns; column++)
            {
                rest -= coefficients[column] * design[(row * columns) + column];
            }

            residuals[row] = rest;
        }

        return residuals;
    }

    private static double[] StandardErrors(LinearFit ordinary, double[] residuals, double scale, RobustLoss loss)
    {
        int columns = ordinary.Coefficients.Length;
        int rows = residuals.Length;
        double[] errors = new double[columns];
        if (scale <= 0 || rows <= columns)
        {
            return errors;
        }

        double squares = 0;
        double slopeSum = 0;
        double slopeSquares = 0;
        foreach (double residual in residuals)
        {
            double scaled = residual / scale;
            double psi = residual * loss.Weight(scaled);
            double slope = loss.PsiSlope(scaled);
            squares += psi * psi;
            slopeSum += slope;
            slopeSquares += slope * slope;
        }

        double mean = slopeSum / rows;
        double variance = (slopeSquares / rows) - (mean * mean);
        if (rows > 1)
        {
            variance *= rows / (rows - 1.0);
        }

        double correction = 1 + (columns * variance / (rows * mean * mean));
        double deviation = Math.Sqrt(squares / (rows - columns)) * correction / mean;
        for (int column = 0; column < columns; column++)
        {
            errors[column] = deviation * Math.Sqrt(ordinary.InverseGram[(column * columns) + column]);
        }

        return errors;
    }
}
