using Hillrow.Numerics.Distributions;
using Hillrow.Numerics.Regression;

namespace Hillrow.Numerics.Statistics;

/// <summary>One line of an analysis of variance; F and p are NaN for the residuals.</summary>
public sealed record AnovaTerm(string Name, int Degrees, double Squares, double F, double PValue)
{
    public double MeanSquare => Squares / Degrees;
}

/// <summary>Analysis of variance of crossed factors, terms taken in order (type I sums of squares).</summary>
public static class FactorialAnova
{
    /// <summary>Fits the terms one after the other; contrasts confounded with earlier terms drop out, and so does a term that is wholly confounded.</summary>
    /// <param name="factors">Level of each observation (any integers), one array a factor.</param>
    /// <param name="terms">Each a name and the factors it crosses; list main effects before their interactions.</param>
    /// <returns>The terms with degrees left, then "Residuals".</returns>
    /// <exception cref="ArgumentException">Lengths differ, an unknown factor, or a value not finite.</exception>
    /// <remarks>Source: Yates 1934 (doi 10.1080/01621459.1934.10502686); computed by QR of the indicator columns in order.</remarks>
    public static IReadOnlyList<AnovaTerm> Of(
        ReadOnlySpan<double> response,
        IReadOnlyList<int[]> factors,
        IReadOnlyList<(string Name, int[] Factors)> terms
    )
    {
        ArgumentNullException.ThrowIfNull(factors);
        ArgumentNullException.ThrowIfNull(terms);
        List<double[]> columns = [Ones(response.Length)];
        List<int> owners = [-1];
        for (int term = 0; term < terms.Count; term++)
        {
            foreach (double[] column in Cells(terms[term].Factors, factors, response.Length))
            {
                columns.Add(column);
                owners.Add(term);
            }
        }

        double[] design = new double[response.Length * columns.Count];
        for (int row = 0; row < response.Length; row++)
        {
            for (int column = 0; column < columns.Count; column++)
            {
                design[(row * columns.Count) + column] = columns[column][row];
            }
        }

        LinearFit fit = LinearRegression.Fit(design, columns.Count, response);
        double[] squares = new double[terms.Count];
        int[] degrees = new int[terms.Count];
        for (int column = 1; column < columns.Count; column++)
        {
            if (!double.IsNaN(fit.Coefficients[column]))
            {
                squares[owners[column]] += fit.SequentialSquares[column];
                degrees[owners[column]]++;
            }
        }

        List<AnovaTerm> lines = [];
        double residual = fit.ResidualSumOfSquares / fit.ResidualDegrees;
        for (int term = 0; term < terms.Count; term++)
        {
            if (degrees[term] > 0)
            {
                double f = squares[term] / degrees[term] / residual;
                double p = FisherFDistribution.UpperTail(f, degrees[term], fit.ResidualDegrees);
                lines.Add(new AnovaTerm(terms[term].Name, degrees[term], squares[term], f, p));
            }
        }

        lines.Add(new AnovaTerm("Residuals", fit.ResidualDegrees, fit.ResidualSumOfSquares, double.NaN, double.NaN));
        return lines;
    }

    /// <summary>Indicator columns of every combination of levels that occurs.</summary>
    private static IEnumerable<double[]> Cells(int[] crossed, IReadOnlyList<int[]> factors, int rows)
    {
        SortedDictionary<string, double[]> cells = new(StringComparer.Ordinal);
        for (int row = 0; row < rows; row++)
        {
            string key = string.Join('/', crossed.Select(factor => factors[factor][row]));
            if (!cells.TryGetValue(key, out double[]? column))
            {
                cells[key] = column = new double[rows];
            }

            column[row] = 1;
        }

        return cells.Values;
    }

    private static double[] Ones(int count)
    {
        double[] ones = new double[count];
        Array.Fill(ones, 1);
        return ones;
    }
}
