namespace Hillrow.Earth;

/// <summary>
/// The periodic terms of the sun-position algorithm: heliocentric longitude, latitude and distance of the earth (short
/// VSOP87), and nutation (IAU 1980).
/// </summary>
/// <remarks>
/// Source: I. Reda &amp; A. Andreas 2004, Solar Energy 76:577–589, DOI 10.1016/j.solener.2003.12.003; NREL/TP-560-34302
/// (2008), tables A4.2 and A4.3. Typed from memory; every sum agrees with the report's worked example to the last printed
/// digit (tests/Reference/solar-position/spa_worked_example.json), which any wrong term would break.
/// </remarks>
public static class SolarSeries
{
    private static readonly double[][] LongitudeTerms = SolarTerms.Longitude;
    private static readonly double[][] LatitudeTerms = SolarTerms.Latitude;
    private static readonly double[][] DistanceTerms = SolarTerms.Distance;

    /// <summary>Sum of the longitude terms of a power of time, in 1e-8 rad.</summary>
    /// <param name="power">0 … 5.</param>
    /// <param name="julianEphemerisMillennia">Thousands of Julian years from J2000.0, terrestrial time.</param>
    public static double LongitudeSum(int power, double julianEphemerisMillennia) =>
        Sum(LongitudeTerms[power], julianEphemerisMillennia);

    /// <summary>Sum of the latitude terms of a power of time (0, 1), in 1e-8 rad.</summary>
    public static double LatitudeSum(int power, double julianEphemerisMillennia) =>
        Sum(LatitudeTerms[power], julianEphemerisMillennia);

    /// <summary>Sum of the distance terms of a power of time (0 … 4), in 1e-8 astronomical units.</summary>
    public static double DistanceSum(int power, double julianEphemerisMillennia) =>
        Sum(DistanceTerms[power], julianEphemerisMillennia);

    /// <summary>Heliocentric longitude of the earth, radians, not wrapped.</summary>
    public static double LongitudeRadians(double julianEphemerisMillennia) =>
        Polynomial(LongitudeTerms, julianEphemerisMillennia);

    /// <summary>Heliocentric latitude of the earth, radians.</summary>
    public static double LatitudeRadians(double julianEphemerisMillennia) =>
        Polynomial(LatitudeTerms, julianEphemerisMillennia);

    /// <summary>Distance of the earth from the sun, astronomical units.</summary>
    public static double DistanceAstronomicalUnits(double julianEphemerisMillennia) =>
        Polynomial(DistanceTerms, julianEphemerisMillennia);

    /// <summary>Nutation in longitude and obliquity, degrees.</summary>
    /// <param name="julianEphemerisCenturies">Julian centuries from J2000.0, terrestrial time.</param>
    /// <param name="longitudeDegrees">Δψ.</param>
    /// <param name="obliquityDegrees">Δε.</param>
    public static void Nutation(
        double julianEphemerisCenturies,
        out double longitudeDegrees,
        out double obliquityDegrees
    )
    {
        const double ToRadians = Math.PI / 180;
        double t = julianEphemerisCenturies;
        // Mean elongation of the moon, mean anomalies of sun and moon, moon's argument of latitude, its ascending node.
        double elongation = ToRadians * (297.85036 + (t * (445267.111480 + (t * (-0.0019142 + (t / 189474))))));
        double sunAnomaly = ToRadians * (357.52772 + (t * (35999.050340 + (t * (-0.0001603 - (t / 300000))))));
        double moonAnomaly = ToRadians * (134.96298 + (t * (477198.867398 + (t * (0.0086972 + (t / 56250))))));
        double moonLatitude = ToRadians * (93.27191 + (t * (483202.017538 + (t * (-0.0036825 + (t / 327270))))));
        double node = ToRadians * (125.04452 + (t * (-1934.136261 + (t * (0.0020708 + (t / 450000))))));
        double longitude = 0;
        double obliquity = 0;
        ReadOnlySpan<double> terms = SolarTerms.Nutation;
        for (int i = 0; i < terms.Length; i += 9)
        {
            double argument =
                (terms[i] * elongation)
                + (terms[i + 1] * sunAnomaly)
                + (terms[i + 2] * moonAnomaly)
                + (terms[i + 3] * moonLatitude)
                + (terms[i + 4] * node);
            (double sine, double cosine) = Math.SinCos(argument);
            longitude += (terms[i + 5] + (terms[i + 6] * t)) * sine;
            obliquity += (terms[i + 7] + (terms[i + 8] * t)) * cosine;
        }

        longitudeDegrees = longitude / 36000000;
        obliquityDegrees = obliquity / 36000000;
    }

    private static double Polynomial(double[][] series, double t)
    {
        double sum = 0;
        for (int power = series.Length - 1; power >= 0; power--)
        {
            sum = (sum * t) + Sum(series[power], t);
        }

        return sum * 1e-8;
    }

    /// <summary>Σ A·cos(B + C·t).</summary>
    private static double Sum(ReadOnlySpan<double> terms, double t)
    {
        double sum = 0;
        for (int i = 0; i < terms.Length; i += 3)
        {
            sum += terms[i] * Math.Cos(terms[i + 1] + (terms[i + 2] * t));
        }

        return sum;
    }
}
