using Hillrow.Imaging;

namespace Hillrow.Radiometry;

/// <summary>
/// Holds the panel's level against what the makers' calibrations of camera and irradiance sensor say: a wrong certificate, a
/// panel in shadow, or values in another band order show there, where both are given.
/// </summary>
internal static class CertificateCheck
{
    /// <summary>Makers' calibrations hold to some per cent for years; a wrong panel is off by far more.</summary>
    private const double LargestLevelRatio = 1.25;

    /// <summary>Between bands they hold better.</summary>
    private const double LargestBandRatio = 1.12;

    private const int FewestBands = 2;

    /// <summary>What is wrong, one line each; bands at fault have their sigma widened to the disagreement.</summary>
    public static IReadOnlyList<string> Hold(
        CameraProfile profile,
        List<BandFactor> factors,
        IReadOnlyDictionary<string, IrradianceSeries> lights
    )
    {
        if (profile.IrradianceSensor?.Unit != IrradianceUnit.WattsPerSquareMetreNanometre)
        {
            return [];
        }

        Dictionary<string, double> ratios = [];
        foreach (BandFactor factor in factors.Where(one => one.Method == CalibrationMethod.PanelAndIrradiance))
        {
            if (profile.Band(factor.Band).RadiometricScale is { } scale)
            {
                ratios[factor.Band] = Math.Log(factor.Factor * scale * lights[factor.Band].Median / Math.PI);
            }
        }

        for (int index = 0; index < factors.Count; index++)
        {
            if (ratios.TryGetValue(factors[index].Band, out double ratio))
            {
                factors[index] = factors[index] with { SensorRatio = Math.Exp(ratio) };
            }
        }

        if (ratios.Count < FewestBands)
        {
            return [];
        }

        double[] sorted = [.. ratios.Values.Order()];
        double level = sorted[sorted.Length / 2];
        List<string> faults = [];
        if (Math.Abs(level) > Math.Log(LargestLevelRatio))
        {
            faults.Add(
                FormattableString.Invariant(
                    $"By the panel the survey is {Math.Exp(level):0.00} times as bright as by the makers' calibrations of camera and irradiance sensor: the certificate is another panel's, or the panel lay in shadow. Check the certificate in the camera profile; the level is unsure by as much."
                )
            );
        }

        string[] odd =
        [
            .. ratios
                .Where(entry => Math.Abs(entry.Value - level) > Math.Log(LargestBandRatio))
                .Select(entry => entry.Key),
        ];
        if (odd.Length > 0)
        {
            faults.Add(
                $"Band {string.Join(", ", odd)}: the panel's certificate does not fit the other bands' by the makers' calibrations; its values may stand in another band order, or be of another panel. Check the certificate in the camera profile; these bands are unsure by as much."
            );
        }

        for (int index = 0; index < factors.Count; index++)
        {
            BandFactor factor = factors[index];
            if (
                ratios.TryGetValue(factor.Band, out double ratio)
                && (faults.Count > 1 || odd.Contains(factor.Band) || (odd.Length == 0 && faults.Count > 0))
            )
            {
                factors[index] = factor with { RelativeSigma = Math.Max(factor.RelativeSigma, Math.Abs(ratio)) };
            }
        }

        return faults;
    }
}
