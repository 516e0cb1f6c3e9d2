using Hillrow.Numerics.Statistics;

namespace Hillrow.Findings;

/// <summary>What place alone explains of a measure: a smooth surface through the healthy plants, and what is left.</summary>
/// <remarks>
/// Iteratively reweighted splines. The weights are Tukey's bisquare (Beaton &amp; Tukey 1974,
/// doi 10.1080/00401706.1974.10489171), narrower below the surface than above it: disease only takes away, so a patch of
/// sick plants must not pull the surface down to itself, while poor soil, which is wide, must. The small lift that this
/// gives a block without disease is taken out by the median of the end. Elevation on a slope is itself such a surface.
/// </remarks>
internal sealed record SlowSurface(double[] Fitted, double[] Residuals, double Scale)
{
    /// <summary>Bisquare's 95 % efficient cut, in spreads.</summary>
    private const double CutAbove = 4.685;
    private const double CutBelow = 3;
    private const double Smoothness = 0.3;
    private const int MostRounds = 25;
    private const double EnoughChange = 0.01;

    /// <param name="ground">Splines over the places of the values, shared by all measures of a block; null: median only.</param>
    /// <param name="values">Per plant; NaN where not measured (fitted there all the same).</param>
    public static SlowSurface Fit(SplineGround? ground, double[] values)
    {
        double[] fitted = new double[values.Length];
        double[] measured = [.. values.Where(double.IsFinite)];
        if (measured.Length == 0)
        {
            Array.Fill(fitted, double.NaN);
            return new SlowSurface(fitted, [.. fitted], double.NaN);
        }

        Array.Fill(fitted, Quantiles.Median(measured));
        if (ground is not null && measured.Length > ground.Coefficients)
        {
            Reweight(ground, values, fitted);
        }

        double[] residuals = [.. values.Select((value, at) => value - fitted[at])];
        double[] known = [.. residuals.Where(double.IsFinite)];
        double middle = Quantiles.Median(known);
        for (int at = 0; at < residuals.Length; at++)
        {
            fitted[at] += middle;
            residuals[at] -= middle;
        }

        return new SlowSurface(fitted, residuals, HealthyScale([.. residuals.Where(double.IsFinite)]));
    }

    /// <summary>From the median on: the spread shrinks as the surface takes shape, so no start of its own is needed.</summary>
    private static void Reweight(SplineGround ground, double[] values, double[] fitted)
    {
        double[] weights = new double[values.Length];
        double[] next = new double[values.Length];
        for (int round = 0; round < MostRounds; round++)
        {
            double scale = HealthyScale([.. values.Select((value, at) => value - fitted[at]).Where(double.IsFinite)]);
            if (!(scale > 0))
            {
                return;
            }

            for (int at = 0; at < values.Length; at++)
            {
                double away = (values[at] - fitted[at]) / scale;
                double part = away / (away < 0 ? CutBelow : CutAbove);
                double rest = 1 - (part * part);
                weights[at] = double.IsFinite(part) && rest > 0 ? rest * rest : 0;
            }

            if (!ground.Fit(values, weights, Smoothness, next))
            {
                return;
            }

            double change = 0;
            for (int at = 0; at < fitted.Length; at++)
            {
                change = Math.Max(change, Math.Abs(next[at] - fitted[at]));
            }

            next.CopyTo(fitted, 0);
            if (change < EnoughChange * scale)
            {
                return;
            }
        }
    }

    /// <summary>
    /// Spread of the better half: the middle to the upper 84 % point. Declining plants fill the lower tail only, so the
    /// lower half would call sick plants normal.
    /// </summary>
    private static double HealthyScale(double[] residuals)
    {
        double around = Quantiles.NormalConsistency * Quantiles.MedianAbsoluteDeviation(residuals);
        double middle = Quantiles.QuantileInPlace(residuals, 0.5);
        double upper = Quantiles.QuantileInPlace(residuals, 0.8413) - middle;
        double scale = Math.Min(upper, around);
        return scale > 0 ? scale : Math.Max(upper, around);
    }
}
