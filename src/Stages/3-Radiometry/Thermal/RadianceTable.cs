namespace Hillrow.Radiometry;

/// <summary><see cref="ThermalRadiance"/> in tables, for every cell of a map.</summary>
/// <remarks>Steps of 0.1 K with straight lines between: within 0.1 mK from 180 to 450 K.</remarks>
public sealed class RadianceTable
{
    public const double LowestKelvin = 180;
    public const double HighestKelvin = 450;
    private const double StepKelvin = 0.1;
    private readonly double[] radiance;

    public RadianceTable(ThermalBandLimits band)
    {
        Band = band;
        radiance = new double[(int)Math.Round((HighestKelvin - LowestKelvin) / StepKelvin) + 1];
        for (int at = 0; at < radiance.Length; at++)
        {
            radiance[at] = ThermalRadiance.OfBlackBody(LowestKelvin + (StepKelvin * at), band);
        }
    }

    public ThermalBandLimits Band { get; }

    /// <summary>W m⁻² sr⁻¹; temperatures beyond the table count as its ends.</summary>
    public double Of(double kelvin)
    {
        double place = (Math.Clamp(kelvin, LowestKelvin, HighestKelvin) - LowestKelvin) / StepKelvin;
        int low = Math.Min((int)place, radiance.Length - 2);
        return radiance[low] + ((radiance[low + 1] - radiance[low]) * (place - low));
    }

    /// <summary>Kelvin of the black body with this radiance; NaN beyond the table.</summary>
    public double BrightnessKelvin(double wattsPerSquareMetreSteradian)
    {
        if (!(wattsPerSquareMetreSteradian >= radiance[0] && wattsPerSquareMetreSteradian <= radiance[^1]))
        {
            return double.NaN;
        }

        int low = Array.BinarySearch(radiance, wattsPerSquareMetreSteradian);
        low = Math.Min(low < 0 ? ~low - 1 : low, radiance.Length - 2);
        double share = (wattsPerSquareMetreSteradian - radiance[low]) / (radiance[low + 1] - radiance[low]);
        return LowestKelvin + (StepKelvin * (low + share));
    }
}
