using Hillrow.Numerics.Distributions;

namespace Hillrow.Numerics.Regression;

/// <summary>A fitted linear model.</summary>
/// <param name="Coefficients">One per design column; NaN where the column depends on earlier ones.</param>
/// <param name="StandardErrors">One per coefficient; NaN likewise, or all NaN without residual degrees of freedom.</param>
/// <param name="InverseGram">(XᵀWX)⁻¹, columns × columns, row-major.</param>
/// <param name="Residuals">Observed minus fitted, unweighted, in the response's unit.</param>
/// <param name="SequentialSquares">Sum of squares that each column adds to its predecessors (type I).</param>
/// <param name="ResidualSumOfSquares">Weighted.</param>
/// <param name="RSquared">About the weighted mean when the design holds a constant, else about zero; NaN for a constant response.</param>
public sealed record LinearFit(
    double[] Coefficients,
    double[] StandardErrors,
    double[] InverseGram,
    double[] Residuals,
    double[] SequentialSquares,
    double ResidualSumOfSquares,
    int ResidualDegrees,
    int Rank,
    double RSquared
)
{
    /// <summary>Residual standard deviation.</summary>
    public double Sigma => Math.Sqrt(ResidualSumOfSquares / ResidualDegrees);

    public double TStatistic(int column) => Coefficients[column] / StandardErrors[column];

    /// <summary>Two-sided p of coefficient = 0.</summary>
    public double PValue(int column) => StudentTDistribution.TwoTails(TStatistic(column), ResidualDegrees);
}

/// <summary>Ordinary and weighted linear least squares to certified digits.</summary>
public static class LinearRegression
{
    /// <summary>Fits response = design · coefficients.</summary>
    /// <param name="design">Rows × Columns, row-major; the constant column, if wanted, included. Finite.</param>
    /// <param name="columns">Number of design columns, above 0.</param>
    /// <param name="response">One value per row. Finite.</param>
    /// <param name="weights">One per row, ≥ 0, proportional to 1/variance; empty for equal weights. A zero takes the row out.</param>
    /// <exception cref="ArgumentException">Lengths differ, a value is not finite, or a weight is negative.</exception>
    /// <remarks>
    /// QR in double-double arithmetic, so the coefficients carry the digits that the doubles of the design allow:
    /// the NIST StRD linear sets of tests/Reference/statistics to 9 digits or better. Many times slower than plain
    /// arithmetic. Source: Golub &amp; Van Loan, Matrix Computations, 5.3.
    /// </remarks>
    public static LinearFit Fit(
        ReadOnlySpan<double> design,
        int columns,
        ReadOnlySpan<double> response,
        ReadOnlySpan<double> weights = default
    )
    {
        Check(design, columns, response, weights);
        int rows = response.Length;
        DoubleDouble[][] matrix = new DoubleDouble[columns][];
        for (int column = 0; column < columns; column++)
        {
            matrix[column] = new DoubleDouble[rows];
        }

        DoubleDouble[] rotated = new DoubleDouble[rows];
        int used = 0;
        for (int row = 0; row < rows; row++)
        {
            DoubleDouble root = weights.IsEmpty ? 1.0 : DoubleDouble.Sqrt(weights[row]);
            used += root.High > 0 ? 1 : 0;
            for (int column = 0; column < columns; column++)
            {
                matrix[column][row] = weights.IsEmpty
                    ? design[(row * columns) + column]
                    : root * design[(row * columns) + column];
            }

            rotated[row] = root * response[row];
        }

        DoubleDoubleQr qr = new(matrix, rotated);
        DoubleDouble[] precise = qr.Coefficients();
        double[] residuals = Residuals(design, columns, response, precise);
        double residualSquares = qr.ResidualSumOfSquares().ToDouble();
        int degrees = used - qr.Rank;
        double variance = degrees > 0 ? residualSquares / degrees : double.NaN;
        double[] gram = qr.InverseGram();
        double[] errors = new double[columns];
        double[] sequential = new double[columns];
        for (int column = 0; column < columns; column++)
        {
            errors[column] = Math.Sqrt(variance * gram[(column * columns) + column]);
            if (qr.Pivots[column] >= 0)
            {
                DoubleDouble part = qr.Rotated[qr.Pivots[column]];
                sequential[column] = (part * part).ToDouble();
            }
        }

        return new LinearFit(
            Array.ConvertAll(precise, value => value.ToDouble()),
            errors,
            gram,
            residuals,
            sequential,
            residualSquares,
            degrees,
            qr.Rank,
            1 - (residualSquares / TotalSquares(design, columns, response, weights))
        );
    }

    /// <summary>Straight line with a constant: coefficients are intercept, slope.</summary>
    public static LinearFit FitLine(
        ReadOnlySpan<double> x,
        ReadOnlySpan<double> y,
        ReadOnlySpan<double> weights = default
    ) => Fit(DesignWithConstant(x), 2, y, weights);

    /// <summary>Rows (1, x), row-major.</summary>
    public static double[] DesignWithConstant(ReadOnlySpan<double> x)
    {
        double[] design = new double[2 * x.Length];
        for (int row = 0; row < x.Length; row++)
        {
            design[2 * row] = 1;
            design[(2 * row) + 1] = x[row];
        }

        return design;
    }

    private static double[] Residuals(
        ReadOnlySpan<double> design,
        int columns,
        ReadOnlySpan<double> response,
        DoubleDouble[] coefficients
    )
    {
        double[] residuals = new double[response.Length];
        for (int row = 0; row < response.Length; row++)
        {
            DoubleDouble rest = response[row];
            for (int column = 0; column < columns; column++)
            {
                if (!double.IsNaN(coefficients[column].High))
                {
                    rest -= coefficients[column] * design[(row * columns) + column];
                }
            }

            residuals[row] = rest.ToDouble();
        }

        return residuals;
    }

    private static double TotalSquares(
        ReadOnlySpan<double> design,
        int columns,
        ReadOnlySpan<double> response,
        ReadOnlySpan<double> weights
    )
    {
        DoubleDouble mean = DoubleDouble.Zero;
        if (HasConstant(design, columns, response.Length))
        {
            DoubleDouble sum = DoubleDouble.Zero;
            DoubleDouble weight = DoubleDouble.Zero;
            for (int row = 0; row < response.Length; row++)
            {
                double w = weights.IsEmpty ? 1 : weights[row];
                sum += DoubleDouble.Product(w, response[row]);
                weight += w;
            }

            mean = sum / weight;
        }

        DoubleDouble total = DoubleDouble.Zero;
        for (int row = 0; row < response.Length; row++)
        {
            DoubleDouble difference = response[row] - mean;
            total += difference * difference * (weights.IsEmpty ? 1 : weights[row]);
        }

        return total.ToDouble();
    }

    private static bool HasConstant(ReadOnlySpan<double> design, int columns, int rows)
    {
        for (int column = 0; column < columns; column++)
        {
            double first = design[column];
            bool constant = first != 0;
            for (int row = 1; row < rows && constant; row++)
            {
                constant = design[(row * columns) + column].Equals(first);
            }

            if (constant && rows > 1)
            {
                return true;
            }
        }

        return false;
    }

    private static void Check(
        ReadOnlySpan<double> design,
        int columns,
        ReadOnlySpan<double> response,
        ReadOnlySpan<double> weights
    )
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(columns);
        if (design.Length != (long)columns * response.Length)
        {
            throw new ArgumentException(
                $"The design has {design.Length} values, not {response.Length} rows × {columns} columns.",
                nameof(design)
            );
        }

        if (!weights.IsEmpty && weights.Length != response.Length)
        {
            throw new ArgumentException(
                $"{weights.Length} weights stand beside {response.Length} responses.",
                nameof(weights)
            );
        }

        Finite.Check(design, nameof(design));
        Finite.Check(response, nameof(response));
        Finite.Check(weights, nameof(weights));
        foreach (double weight in weights)
        {
            if (weight < 0)
            {
                throw new ArgumentException($"A weight is negative: {weight}.", nameof(weights));
            }
        }
    }
}
