namespace Hillrow.Radiometry;

/// <summary>Brightness temperature at the camera → temperature of the surface, by how much of a cell is foliage.</summary>
/// <remarks>
/// Radiance at the camera = τ (ε B(surface) + (1 − ε) B_around) + (1 − τ) B(air). Emissivity by cover: J. A. Sobrino et al.
/// 2008, doi 10.1109/TGRS.2007.904834 (threshold method, cavity term left out). Values of leaf and soil: published ranges
/// 0.98 … 0.99 and 0.93 … 0.98. What a surface reflects is half sky, half its warm neighbours, taken to be as warm as the
/// air: crowns and ground between rows see about half of the sky (own assumption; the sigma covers all to none).
/// </remarks>
public sealed class SurfaceTemperature
{
    private const double LeafEmissivity = 0.985;
    private const double LeafEmissivitySigma = 0.005;
    private const double SoilEmissivity = 0.955;
    private const double SoilEmissivitySigma = 0.015;
    private const double SkySeen = 0.5;
    private const double SkySeenSigma = 0.25;
    private const double TakenRelativeSigma = 0.5;
    private readonly ThermalAir air;
    private readonly RadianceTable table;
    private readonly double around;
    private readonly double aroundSigma;
    private readonly double ofAir;

    public SurfaceTemperature(ThermalAir air, RadianceTable table)
    {
        ArgumentNullException.ThrowIfNull(air);
        ArgumentNullException.ThrowIfNull(table);
        (this.air, this.table) = (air, table);
        ofAir = table.Of(air.AirKelvin);
        double sky = air.SkyShare * ofAir;
        around = (SkySeen * sky) + ((1 - SkySeen) * ofAir);
        double warmer = table.Of(table.BrightnessKelvin(sky) + ThermalAir.SkySigmaKelvin);
        aroundSigma = double.Hypot(SkySeenSigma * (ofAir - sky), SkySeen * (warmer - sky));
    }

    /// <param name="brightnessKelvin">At the camera.</param>
    /// <param name="foliageShare">Of the cell, 0 … 1.</param>
    /// <param name="distanceMetres">To the camera.</param>
    /// <returns>Kelvin and the standard error that emissivity, sky and air bring; NaN where what is reflected exceeds it.</returns>
    public (double Kelvin, double Sigma) Of(double brightnessKelvin, double foliageShare, double distanceMetres)
    {
        double emissivity = SoilEmissivity + (foliageShare * (LeafEmissivity - SoilEmissivity));
        double emissivitySigma = SoilEmissivitySigma + (foliageShare * (LeafEmissivitySigma - SoilEmissivitySigma));
        double through = air.Transmittance(distanceMetres);
        double leaving = (table.Of(brightnessKelvin) - ((1 - through) * ofAir)) / through;
        double emitted = (leaving - ((1 - emissivity) * around)) / emissivity;
        double kelvin = table.BrightnessKelvin(emitted);
        // Radiance of a kelvin there.
        double slope = table.Of(kelvin + 0.5) - table.Of(kelvin - 0.5);
        double byEmissivity = emissivitySigma * (emitted - around) / emissivity;
        double byAround = (1 - emissivity) / emissivity * aroundSigma;
        double byAir = TakenRelativeSigma * (1 - through) * (leaving - ofAir) / emissivity;
        double sigma = Math.Sqrt((byEmissivity * byEmissivity) + (byAround * byAround) + (byAir * byAir)) / slope;
        return (kelvin, sigma);
    }
}
