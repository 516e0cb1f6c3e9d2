namespace Hillrow.Radiometry;

/// <summary>One grey field of a panel: what it is certified to reflect and how bright it was seen.</summary>
/// <param name="Reflectance">Certified.</param>
/// <param name="Sigma">Standard error of that.</param>
/// <param name="Brightness">Over the panel's brightest field in the same picture, median over pictures.</param>
/// <param name="BrightnessSigma">Standard error of that.</param>
public readonly record struct GreyLevel(double Reflectance, double Sigma, double Brightness, double BrightnessSigma);

/// <summary>Reflectance = gain · brightness + offset through a panel's grey fields.</summary>
/// <param name="Gain">Reflectance at the brightness of the brightest field, had the picture no light but the scene's.</param>
/// <param name="GainRelativeSigma">Standard error of the gain as a share.</param>
/// <param name="StrayShare">Light that is in the picture where nothing is reflected, over the brightest field's.</param>
/// <param name="StraySigma">Standard error of that; the same when the line was led through 0.</param>
/// <param name="UsesOffset">The fields tell an offset; otherwise the line goes through 0.</param>
/// <param name="Residual">Root mean square of what the fields are off the line, as a share of each one's reflectance; NaN for one.</param>
/// <param name="Levels">Fields used.</param>
/// <remarks>
/// Straight line with errors both ways, weights by the errors, Huber's weights beyond 1.5 of them: G. M. Smith and E. J. Milton
/// 1999, doi 10.1080/014311699211994 for the line. An offset is used when it exceeds twice its standard error.
/// </remarks>
public sealed record PanelLine(
    double Gain,
    double GainRelativeSigma,
    double StrayShare,
    double StraySigma,
    bool UsesOffset,
    double Residual,
    int Levels
)
{
    private const double HuberAt = 1.5;
    private const int Rounds = 20;

    /// <summary>More than this is no stray light.</summary>
    private const double LargestStray = 0.25;

    /// <param name="levels">At least one; brightness 1 is the brightest's own.</param>
    public static PanelLine Fit(IReadOnlyList<GreyLevel> levels)
    {
        ArgumentNullException.ThrowIfNull(levels);
        PanelLine plain = ThroughZero(levels);
        if (levels.Count < 2)
        {
            return plain;
        }

        double gain = plain.Gain;
        double offset = 0;
        double[] normal = [];
        for (int round = 0; round < Rounds; round++)
        {
            (double w, double wx, double wy, double wxx, double wxy) = (0, 0, 0, 0, 0);
            foreach (GreyLevel level in levels)
            {
                double sigma = double.Hypot(level.Sigma, gain * level.BrightnessSigma);
                double off = Math.Abs(level.Reflectance - offset - (gain * level.Brightness)) / sigma;
                double weight = (round == 0 || off < HuberAt ? 1 : HuberAt / off) / (sigma * sigma);
                w += weight;
                wx += weight * level.Brightness;
                wy += weight * level.Reflectance;
                wxx += weight * level.Brightness * level.Brightness;
                wxy += weight * level.Brightness * level.Reflectance;
            }

            double determinant = (w * wxx) - (wx * wx);
            if (!(determinant > 1e-9 * w * wxx))
            {
                return plain;
            }

            gain = ((w * wxy) - (wx * wy)) / determinant;
            offset = ((wxx * wy) - (wx * wxy)) / determinant;
            normal = [w / determinant, -wx / determinant, wxx / determinant];
        }

        // Variance of stray = −offset / gain, errors of the two going together.
        double stray = -offset / gain;
        double variance = (normal[2] + (2 * stray * normal[1]) + (stray * stray * normal[0])) / (gain * gain);
        double straySigma = Math.Sqrt(Math.Max(variance, 0));
        return gain > 0 && Math.Abs(stray) > 2 * straySigma && Math.Abs(stray) < LargestStray
            ? new PanelLine(
                gain,
                Math.Sqrt(normal[0]) / gain,
                stray,
                straySigma,
                true,
                ResidualOf(levels, gain, offset),
                levels.Count
            )
            : plain with
            {
                StraySigma = straySigma,
            };
    }

    private static PanelLine ThroughZero(IReadOnlyList<GreyLevel> levels)
    {
        double gain = levels[0].Reflectance / levels[0].Brightness;
        double weights = 0;
        for (int round = 0; round < Rounds; round++)
        {
            weights = 0;
            double sum = 0;
            foreach (GreyLevel level in levels)
            {
                double sigma = double.Hypot(level.Sigma, gain * level.BrightnessSigma) / level.Brightness;
                double off = Math.Abs((level.Reflectance / level.Brightness) - gain) / sigma;
                double weight = (round == 0 || off < HuberAt ? 1 : HuberAt / off) / (sigma * sigma);
                weights += weight;
                sum += weight * level.Reflectance / level.Brightness;
            }

            gain = sum / weights;
        }

        return new PanelLine(
            gain,
            1 / (gain * Math.Sqrt(weights)),
            0,
            double.NaN,
            false,
            levels.Count > 1 ? ResidualOf(levels, gain, 0) : double.NaN,
            levels.Count
        );
    }

    private static double ResidualOf(IReadOnlyList<GreyLevel> levels, double gain, double offset) =>
        Math.Sqrt(
            levels.Average(level =>
                Math.Pow((level.Reflectance - offset - (gain * level.Brightness)) / level.Reflectance, 2)
            )
        );
}
