namespace Hillrow.Rehearsal;

/// <summary>Irradiance of one band on a level surface, W m⁻² nm⁻¹.</summary>
/// <param name="DirectNormal">Of the sun's beam on a surface that faces it.</param>
/// <param name="DirectHorizontal">Of the sun's beam on level ground.</param>
/// <param name="Diffuse">Of the sky on level ground.</param>
public readonly record struct BandIrradiance(double DirectNormal, double DirectHorizontal, double Diffuse)
{
    public double Total => DirectHorizontal + Diffuse;
}

/// <summary>A cloudless sky: how turbid, how high the place is.</summary>
/// <param name="AerosolDepthAt550">Vertical aerosol optical depth at 550 nm, 0.05 clear … 0.4 hazy.</param>
/// <param name="AngstromExponent">How fast aerosol depth falls with wavelength, about 1.3.</param>
/// <param name="PressureShare">Air pressure over that at sea level; 0.85 at 1,400 m.</param>
public sealed record ClearSky(double AerosolDepthAt550, double AngstromExponent, double PressureShare)
{
    /// <summary>Direct and diffuse irradiance of a band.</summary>
    /// <param name="sunZenithDegrees">True zenith angle, below 88.</param>
    /// <param name="dayOfYear">1 … 366, for the distance of the sun.</param>
    /// <remarks>
    /// Beer's law with Kasten &amp; Young 1989 air mass (doi 10.1364/AO.28.004735); Rayleigh depth after Leckner 1978;
    /// diffuse: half of what Rayleigh scattering and a forward share of what aerosol takes out, as in the simple
    /// spectral models of the 1980s (from memory). Skylight is taken as isotropic.
    /// </remarks>
    public BandIrradiance Of(RigBand band, double sunZenithDegrees, int dayOfYear)
    {
        ArgumentNullException.ThrowIfNull(band);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(sunZenithDegrees, 88);
        double cosine = Math.Cos(sunZenithDegrees * Math.PI / 180);
        double airMass = 1 / (cosine + (0.50572 * Math.Pow(96.07995 - sunZenithDegrees, -1.6364)));
        double micrometres = band.CentreNanometres / 1000;
        double rayleigh = PressureShare * 0.008735 * Math.Pow(micrometres, -4.08);
        double aerosol = AerosolDepthAt550 * Math.Pow(micrometres / 0.55, -AngstromExponent);
        double gas = band.OzoneDepth + band.WaterDepth;
        double distance = 1 + (0.0334 * Math.Cos(Math.Tau * (dayOfYear - 3) / 365.25));
        double outside = band.SunOutsideAir * distance;
        double direct = outside * Math.Exp(-airMass * (rayleigh + aerosol + gas));
        double gasShare = Math.Exp(-airMass * gas);
        double afterRayleigh = Math.Exp(-airMass * rayleigh);
        double afterAerosol = Math.Exp(-airMass * aerosol);
        double fromRayleigh = 0.5 * (1 - afterRayleigh) * Math.Sqrt(afterAerosol);
        double fromAerosol = 0.92 * 0.8 * (1 - afterAerosol) * afterRayleigh;
        double diffuse = outside * cosine * gasShare * (fromRayleigh + fromAerosol);
        return new BandIrradiance(direct, direct * cosine, diffuse);
    }
}
