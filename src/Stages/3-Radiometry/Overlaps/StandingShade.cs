namespace Hillrow.Radiometry;

/// <summary>
/// How unsure light is where a cloud's shade stood still over the ground as long as captures looked at it: all of them see
/// the same ground equally dim, and agree on a darker ground.
/// </summary>
internal static class StandingShade
{
    /// <summary>Clouds' shade drifts about so fast (common practice, no source).</summary>
    private const double DriftMetresPerSecond = 5;

    /// <summary>It looks like itself over about so far (common practice, no source).</summary>
    private const double AlikeMetres = 150;

    /// <summary>Standard deviation of the shade over all captures and nodes, logarithmic.</summary>
    public static double SpreadOf(IReadOnlyList<double[]> nodes)
    {
        double mean = nodes.Average(capture => capture.Average());
        return Math.Sqrt(nodes.Average(capture => capture.Average(node => (node - mean) * (node - mean))));
    }

    /// <param name="seconds">By place: from its first look to its last.</param>
    /// <param name="spread">Standard deviation of the light's logarithm over the survey.</param>
    /// <returns>Standard error of the light's logarithm that no overlap can tell; 0 without places.</returns>
    public static double Sigma(IReadOnlyList<double> seconds, double spread)
    {
        if (seconds.Count == 0)
        {
            return 0;
        }

        double usual = seconds.Order().ElementAt(seconds.Count / 2);
        return spread * Math.Exp(-DriftMetresPerSecond * usual / AlikeMetres);
    }
}
