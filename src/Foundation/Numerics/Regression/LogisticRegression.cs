namespace Hillrow.Numerics.Regression;

/// <summary>A fitted logistic model; deviances are −2 ln likelihood.</summary>
/// <param name="Converged">False when the classes separate (coefficients grow without bound) or the steps ran out.</param>
public sealed record LogisticFit(
    double[] Coefficients,
    double[] StandardErrors,
    double[] Probabilities,
    double Deviance,
    double NullDeviance,
    int Iterations,
    bool Converged
);

/// <summary>Binary logistic regression by iteratively reweighted least squares.</summary>
public static class LogisticRegression
{
    private const int MaxIterations = 100;

    /// <summary>Fits P(response = 1) = 1 / (1 + exp(−design · coefficients)).</summary>
    /// <param name="design">Rows × Columns, row-major, constant column included.</param>
    /// <param name="response">0 or 1 per row.</param>
    /// <param name="tolerance">Stops when the deviance changes by less than this share; many programs stop at 1e-8.</param>
    /// <exception cref="ArgumentException">Lengths differ, values not finite, or a response other than 0 or 1.</exception>
    /// <remarks>Source: McCullagh &amp; Nelder 1989, Generalized Linear Models, 2.5 (from memory). Standard errors stem from the weights of the last step.</remarks>
    public static LogisticFit Fit(
        ReadOnlySpan<double> design,
        int columns,
        ReadOnlySpan<double> response,
        double tolerance = 1e-13
    )
    {
        int rows = response.Length;
        double successes = 0;
        foreach (double value in response)
        {
            if (!value.Equals(0.0) && !value.Equals(1.0))
            {
                throw new ArgumentException(
                    $"A response is {value}; only 0 and 1 stand for no and yes.",
                    nameof(response)
                );
            }

            successes += value;
        }

        double[] link = new double[rows];
        double[] probability = new double[rows];
        double[] weights = new double[rows];
        double[] working = new double[rows];
        for (int row = 0; row < rows; row++)
        {
            link[row] = response[row] > 0.5 ? Math.Log(3) : -Math.Log(3); // from the shrunk proportions 3/4 and 1/4
        }

        double deviance = double.PositiveInfinity;
        bool converged = false;
        int iteration = 0;
        LinearFit? fit = null;
        while (iteration < MaxIterations && !converged)
        {
            iteration++;
            for (int row = 0; row < rows; row++)
            {
                double p = 1 / (1 + Math.Exp(-link[row]));
                double weight = Math.Max(p * (1 - p), 1e-12);
                weights[row] = weight;
                working[row] = link[row] + ((response[row] - p) / weight);
            }

            fit = LinearRegression.Fit(design, columns, working, weights);
            double next = 0;
            for (int row = 0; row < rows; row++)
            {
                link[row] = Math.Clamp(working[row] - fit.Residuals[row], -30, 30);
                probability[row] = 1 / (1 + Math.Exp(-link[row]));
                next -= 2 * (response[row] > 0.5 ? LogSigmoid(link[row]) : LogSigmoid(-link[row]));
            }

            converged = Math.Abs(next - deviance) <= tolerance * (Math.Abs(next) + 0.1);
            deviance = next;
        }

        double[] errors = new double[columns];
        for (int column = 0; column < columns; column++)
        {
            errors[column] = Math.Sqrt(fit!.InverseGram[(column * columns) + column]);
        }

        double share = successes / rows;
        double nullDeviance = -2 * (Part(successes, share) + Part(rows - successes, 1 - share));
        bool separated = Array.TrueForAll(probability, p => p is < 1e-8 or > 1 - 1e-8);
        return new LogisticFit(
            fit!.Coefficients,
            errors,
            probability,
            deviance,
            nullDeviance,
            iteration,
            converged && !separated
        );
    }

    private static double Part(double count, double share) => count <= 0 ? 0 : count * Math.Log(share);

    private static double LogSigmoid(double x) =>
        x > 0 ? -Distributions.Elementary.Log1P(Math.Exp(-x)) : x - Distributions.Elementary.Log1P(Math.Exp(x));
}
