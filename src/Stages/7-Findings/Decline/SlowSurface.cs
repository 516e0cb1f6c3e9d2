using Hillrow.Numerics.Regression;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Findings;

/// <summary>What place alone explains of a measure: a robust quadratic over the block, and what is left.</summary>
/// <remarks>
/// M-estimation with Tukey's bisquare (Beaton &amp; Tukey 1974, doi 10.1080/00401706.1974.10489171) started from Huber's
/// fit, so that a block a quarter of whose plants decline still shows its healthy surface. Columns: 1, e, n, e², en, n²
/// with e and n scaled to −1 … 1 over the block. Elevation on a slope is itself such a surface.
/// </remarks>
internal sealed record SlowSurface(double[] Fitted, double[] Residuals, double Scale)
{
    private const int Columns = 6;

    /// <param name="east">Per plant, finite.</param>
    /// <param name="north">Per plant, finite.</param>
    /// <param name="values">Per plant; NaN where not measured (fitted there all the same).</param>
    /// <param name="leastForSurface">With fewer measured plants the median is the surface.</param>
    public static SlowSurface Fit(double[] east, double[] north, double[] values, int leastForSurface)
    {
        int[] measured = [.. Enumerable.Range(0, values.Length).Where(at => double.IsFinite(values[at]))];
        double[] fitted = new double[values.Length];
        if (measured.Length == 0)
        {
            Array.Fill(fitted, double.NaN);
            return new SlowSurface(fitted, [.. fitted], double.NaN);
        }

        double[] response = [.. measured.Select(at => values[at])];
        (double middleEast, double halfEast) = Range(east);
        (double middleNorth, double halfNorth) = Range(north);
        double[]? coefficients =
            measured.Length >= leastForSurface
                ? Coefficients(east, north, measured, response, middleEast, halfEast, middleNorth, halfNorth)
                : null;
        double median = Quantiles.Median(response);
        Span<double> row = stackalloc double[Columns];
        for (int at = 0; at < values.Length; at++)
        {
            fitted[at] = median;
            if (coefficients is not null)
            {
                Fill(row, (east[at] - middleEast) / halfEast, (north[at] - middleNorth) / halfNorth);
                fitted[at] = 0;
                for (int column = 0; column < Columns; column++)
                {
                    fitted[at] += coefficients[column] * row[column];
                }
            }
        }

        double[] residuals = [.. values.Select((value, at) => value - fitted[at])];
        return new SlowSurface(fitted, residuals, HealthyScale([.. measured.Select(at => residuals[at])]));
    }

    /// <summary>
    /// Spread of the better half: the middle to the upper 84 % point. Declining plants fill the lower tail only, so the
    /// lower half would call sick plants normal.
    /// </summary>
    private static double HealthyScale(double[] residuals)
    {
        Array.Sort(residuals);
        double upper = Quantiles.QuantileOfSorted(residuals, 0.8413) - Quantiles.QuantileOfSorted(residuals, 0.5);
        double around = Quantiles.NormalConsistency * Quantiles.MedianAbsoluteDeviation(residuals);
        double scale = Math.Min(upper, around);
        return scale > 0 ? scale : Math.Max(upper, around);
    }

    private static double[]? Coefficients(
        double[] east,
        double[] north,
        int[] measured,
        double[] response,
        double middleEast,
        double halfEast,
        double middleNorth,
        double halfNorth
    )
    {
        double[] design = new double[measured.Length * Columns];
        for (int row = 0; row < measured.Length; row++)
        {
            int at = measured[row];
            Fill(
                design.AsSpan(row * Columns, Columns),
                (east[at] - middleEast) / halfEast,
                (north[at] - middleNorth) / halfNorth
            );
        }

        try
        {
            const double EnoughForStart = 1e-4;
            const double EnoughForEnd = 1e-6;
            RobustFit start = RobustRegression.Fit(design, Columns, response, new HuberLoss(), EnoughForStart, 50);
            return RobustRegression
                .Fit(design, Columns, response, new BisquareLoss(), EnoughForEnd, 100, start.Coefficients)
                .Coefficients;
        }
        catch (ArgumentException)
        {
            // All plants on one line: no surface over two directions. The median then stands for it.
            return null;
        }
    }

    private static void Fill(Span<double> row, double e, double n)
    {
        row[0] = 1;
        row[1] = e;
        row[2] = n;
        row[3] = e * e;
        row[4] = e * n;
        row[5] = n * n;
    }

    private static (double Middle, double Half) Range(double[] values)
    {
        double low = values.Min();
        double high = values.Max();
        return ((low + high) / 2, Math.Max((high - low) / 2, 1e-3));
    }
}
