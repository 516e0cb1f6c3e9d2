using Hillrow.Earth;

namespace Hillrow.Radiometry;

/// <summary>Air and sky as a thermal band meets them, from a thermometer's and a hygrometer's reading near the ground.</summary>
/// <param name="AirCelsius">Near the crowns, in the shade.</param>
/// <param name="RelativeHumidity">0 … 1.</param>
public sealed record ThermalAir(double AirCelsius, double RelativeHumidity)
{
    /// <summary>Standard error of the sky's brightness temperature told by two readings near the ground; common practice, no source.</summary>
    public const double SkySigmaKelvin = 10;

    /// <summary>Standard error of a thermometer's reading as the air between the rows; common practice, no source.</summary>
    public const double AirSigmaKelvin = 1;

    public double AirKelvin => AirCelsius + MoistAir.ZeroCelsiusKelvin;

    /// <summary>
    /// Share of a black body's radiance that a clear sky gives between 8 and 14 µm: 0.24 + 2.98·10⁻⁸ e² exp(3000/T), e in
    /// hPa, T in kelvin.
    /// </summary>
    /// <remarks>S. B. Idso 1981, doi 10.1029/WR017i002p00295; numbers from memory. A cloudy sky is warmer.</remarks>
    public double SkyShare
    {
        get
        {
            double hectopascals = 10 * MoistAir.VapourKilopascals(AirCelsius, RelativeHumidity);
            return Math.Clamp(0.24 + (2.98e-8 * hectopascals * hectopascals * Math.Exp(3000 / AirKelvin)), 0.24, 1);
        }
    }

    /// <summary>Share of radiance that a metre of air takes away and replaces by its own.</summary>
    /// <remarks>
    /// Own plain formula of the size that radiative transfer tells of the window at sea level (from memory): 0.00015 and
    /// 0.00002 for each gram of water in a cubic metre; good to a half. Over 65 m a leaf 3 K above the air is told 0.08 K
    /// too cool without it.
    /// </remarks>
    public double TakenPerMetre => 0.00015 + (0.00002 * MoistAir.GramsPerCubicMetre(AirCelsius, RelativeHumidity));

    /// <summary>Share of a surface's radiance that arrives over a distance.</summary>
    public double Transmittance(double metres) => Math.Exp(-TakenPerMetre * metres);
}
