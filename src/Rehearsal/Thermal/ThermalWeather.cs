using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>Air and sky of one flight, as heat sees them.</summary>
/// <param name="AirKelvin">Near the ground.</param>
/// <param name="SkyKelvin">Brightness temperature of the clear sky in the band, as level ground sees it.</param>
/// <param name="PathPerMetre">Share of the radiance that a metre of air takes away, and replaces by its own.</param>
public sealed record ThermalWeather(double AirKelvin, double SkyKelvin, double PathPerMetre)
{
    /// <summary>A mid-morning of the invented valley.</summary>
    public static ThermalWeather Draw(ulong seed)
    {
        SplittableRandom draw = new SplittableRandom(seed).Split("thermal weather");
        double air = 273.15 + draw.NextDouble(20, 28);
        return new ThermalWeather(air, air - draw.NextDouble(20, 34), draw.NextDouble(0.00025, 0.00045));
    }

    /// <summary>Share of a surface's radiance that arrives over a distance.</summary>
    public double Transmittance(double metres) => Math.Exp(-PathPerMetre * metres);
}
