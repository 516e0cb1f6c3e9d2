namespace Hillrow.Radiometry;

/// <summary>An ideal rectangular thermal band.</summary>
/// <param name="FromMicrometres">Above 0.</param>
/// <param name="ToMicrometres">Above <paramref name="FromMicrometres"/>.</param>
public readonly record struct ThermalBandLimits(double FromMicrometres, double ToMicrometres)
{
    /// <summary>The limits of a band given by its centre and full width.</summary>
    public static ThermalBandLimits OfNanometres(double centreNanometres, double widthNanometres) =>
        new((centreNanometres - (widthNanometres / 2)) * 1e-3, (centreNanometres + (widthNanometres / 2)) * 1e-3);
}

/// <summary>Radiance of a black body in a band, and back to temperature.</summary>
/// <remarks>
/// Planck's law with the exact SI constants; band integrals by the series of W. K. Widger and M. P. Woodall 1976
/// (doi 10.1175/1520-0477(1976)057&lt;1217:IOTPBR&gt;2.0.CO;2), summed to double precision.
/// Accuracy: 1e-12 relative for 100 … 2000 K in 3 … 20 µm (tests/Reference/radiometry/planck.json to 1e-6).
/// </remarks>
public static class ThermalRadiance
{
    private const double Planck = 6.62607015e-34;
    private const double LightSpeed = 299_792_458;
    private const double Boltzmann = 1.380649e-23;
    private const double LowestKelvin = 1;
    private const double HighestKelvin = 1e5;

    /// <summary>W m⁻² sr⁻¹ in the band.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The temperature or the band's limits are not above 0.</exception>
    public static double OfBlackBody(double kelvin, ThermalBandLimits band)
    {
        Check(kelvin, band);
        return Below(kelvin, band.ToMicrometres).Radiance - Below(kelvin, band.FromMicrometres).Radiance;
    }

    /// <summary>Change of <see cref="OfBlackBody"/> with temperature, W m⁻² sr⁻¹ K⁻¹.</summary>
    public static double SlopeOfBlackBody(double kelvin, ThermalBandLimits band)
    {
        Check(kelvin, band);
        return Below(kelvin, band.ToMicrometres).Slope - Below(kelvin, band.FromMicrometres).Slope;
    }

    /// <summary>W m⁻² sr⁻¹ µm⁻¹ at one wavelength.</summary>
    public static double SpectralOfBlackBody(double kelvin, double micrometres)
    {
        double wavelength = micrometres * 1e-6;
        double x = Planck * LightSpeed / (wavelength * Boltzmann * kelvin);
        return 2 * Planck * LightSpeed * LightSpeed / Math.Pow(wavelength, 5) / (Math.Exp(x) - 1) * 1e-6;
    }

    /// <summary>Share of a black body's whole exitance that falls in the band.</summary>
    public static double ExitanceShare(double kelvin, ThermalBandLimits band)
    {
        double sigma =
            2 * Math.Pow(Math.PI, 5) * Math.Pow(Boltzmann, 4) / (15 * Math.Pow(Planck, 3) * LightSpeed * LightSpeed);
        return Math.PI * OfBlackBody(kelvin, band) / (sigma * Math.Pow(kelvin, 4));
    }

    /// <summary>Temperature of the black body that gives this radiance, kelvin; NaN when the radiance is not above 0.</summary>
    /// <remarks>Newton's iteration kept between bounds; good to 1e-9 K.</remarks>
    public static double BrightnessKelvin(double radianceWattsPerSquareMetreSteradian, ThermalBandLimits band)
    {
        Check(300, band);
        if (!(radianceWattsPerSquareMetreSteradian > 0))
        {
            return double.NaN;
        }

        double low = LowestKelvin;
        double high = HighestKelvin;
        double kelvin = 300;
        for (int step = 0; step < 200; step++)
        {
            double off = OfBlackBody(kelvin, band) - radianceWattsPerSquareMetreSteradian;
            (low, high) = off > 0 ? (low, kelvin) : (kelvin, high);
            double next = kelvin - (off / SlopeOfBlackBody(kelvin, band));
            if (!(next > low && next < high))
            {
                next = 0.5 * (low + high);
            }

            if (Math.Abs(next - kelvin) < 1e-10)
            {
                return next;
            }

            kelvin = next;
        }

        return kelvin;
    }

    /// <summary>Radiance at the sensor: τ (ε B(surface) + (1 − ε) B(background)) + (1 − τ) B(air).</summary>
    public static double AtSensor(double surfaceKelvin, ThermalScene scene, ThermalBandLimits band) =>
        (
            scene.Transmittance
            * (
                (scene.Emissivity * OfBlackBody(surfaceKelvin, band))
                + ((1 - scene.Emissivity) * OfBlackBody(scene.BackgroundKelvin, band))
            )
        ) + ((1 - scene.Transmittance) * OfBlackBody(scene.AirKelvin, band));

    /// <summary>The surface temperature behind a radiance at the sensor; NaN when what reflection and air add exceeds it.</summary>
    public static double SurfaceKelvin(
        double sensorRadianceWattsPerSquareMetreSteradian,
        ThermalScene scene,
        ThermalBandLimits band
    )
    {
        double leaving =
            (
                sensorRadianceWattsPerSquareMetreSteradian
                - ((1 - scene.Transmittance) * OfBlackBody(scene.AirKelvin, band))
            ) / scene.Transmittance;
        double emitted =
            (leaving - ((1 - scene.Emissivity) * OfBlackBody(scene.BackgroundKelvin, band))) / scene.Emissivity;
        return BrightnessKelvin(emitted, band);
    }

    /// <summary>Radiance from wavelength 0 to the one given, and its change with temperature.</summary>
    private static (double Radiance, double Slope) Below(double kelvin, double micrometres)
    {
        double x = Planck * LightSpeed / (micrometres * 1e-6 * Boltzmann * kelvin);
        double sum = 0;
        double decay = Math.Exp(-x);
        double power = 1;
        for (int n = 1; n < 100_000; n++)
        {
            power *= decay;
            double term = power * ((x * x * x) + (((3 * x * x) + (((6 * x) + (6.0 / n)) / n)) / n)) / n;
            sum += term;
            if (term <= 1e-17 * sum)
            {
                break;
            }
        }

        double scale = 2 * Math.Pow(Boltzmann * kelvin, 4) / (Math.Pow(Planck, 3) * LightSpeed * LightSpeed);
        double edge = x * x * x * x * decay / (1 - decay);
        return (scale * sum, scale / kelvin * ((4 * sum) + edge));
    }

    private static void Check(double kelvin, ThermalBandLimits band)
    {
        if (!(kelvin > 0))
        {
            throw new ArgumentOutOfRangeException(nameof(kelvin), kelvin, "A temperature must be above 0 K.");
        }

        if (!(band.FromMicrometres > 0 && band.ToMicrometres > band.FromMicrometres))
        {
            throw new ArgumentOutOfRangeException(
                nameof(band),
                band,
                "A band needs limits above 0 µm, the second above the first."
            );
        }
    }
}

/// <summary>What stands between a warm surface and the sensor.</summary>
/// <param name="Emissivity">Of the surface, above 0, at most 1.</param>
/// <param name="BackgroundKelvin">Brightness temperature of what the surface reflects (mostly the sky).</param>
/// <param name="Transmittance">Of the air, above 0, at most 1.</param>
/// <param name="AirKelvin">Temperature of the air between.</param>
public readonly record struct ThermalScene(
    double Emissivity,
    double BackgroundKelvin,
    double Transmittance,
    double AirKelvin
);
