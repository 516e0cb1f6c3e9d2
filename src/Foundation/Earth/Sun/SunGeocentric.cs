namespace Hillrow.Earth;

/// <summary>Where the sun stands for the earth's centre at a moment: the same for every place.</summary>
/// <param name="JulianDay">Universal time.</param>
/// <param name="EarthLongitudeDegrees">Heliocentric longitude L of the earth, not wrapped.</param>
/// <param name="EarthLatitudeDegrees">Heliocentric latitude B of the earth.</param>
/// <param name="DistanceAstronomicalUnits">R.</param>
/// <param name="NutationLongitudeDegrees">Δψ.</param>
/// <param name="NutationObliquityDegrees">Δε.</param>
/// <param name="ObliquityDegrees">True obliquity ε of the ecliptic.</param>
/// <param name="ApparentLongitudeDegrees">λ, with aberration, not wrapped.</param>
/// <param name="SiderealDegrees">Apparent sidereal time ν at Greenwich, not wrapped.</param>
/// <param name="RightAscensionDegrees">Apparent, of date, in [0, 360).</param>
/// <param name="DeclinationDegrees">Apparent, of date.</param>
/// <remarks>
/// Source: I. Reda &amp; A. Andreas 2004, Solar Energy 76:577–589, DOI 10.1016/j.solener.2003.12.003 (NREL/TP-560-34302,
/// rev. 2008), sections 3.1 – 3.10; stated uncertainty 0.0003° for the years −2000 to 6000.
/// </remarks>
public readonly record struct SunGeocentric(
    double JulianDay,
    double EarthLongitudeDegrees,
    double EarthLatitudeDegrees,
    double DistanceAstronomicalUnits,
    double NutationLongitudeDegrees,
    double NutationObliquityDegrees,
    double ObliquityDegrees,
    double ApparentLongitudeDegrees,
    double SiderealDegrees,
    double RightAscensionDegrees,
    double DeclinationDegrees
)
{
    private const double ToRadians = Math.PI / 180;
    private const double ToDegrees = 180 / Math.PI;
    private const double J2000 = 2451545;

    /// <summary>Julian day (universal time) of a moment.</summary>
    public static double JulianDayOf(DateTimeOffset moment) =>
        2440587.5 + ((moment - DateTimeOffset.UnixEpoch).Ticks / (double)TimeSpan.TicksPerDay);

    /// <param name="julianDay">Universal time (UT1; UTC is within 0.9 s of it).</param>
    /// <param name="deltaTSeconds">Terrestrial less universal time.</param>
    public static SunGeocentric At(double julianDay, double deltaTSeconds)
    {
        // From J2000.0, where a double still resolves microseconds.
        double days = julianDay - J2000;
        double century = days / 36525;
        double ephemerisCentury = (days + (deltaTSeconds / 86400)) / 36525;
        double millennium = ephemerisCentury / 10;
        double earthLongitude = SolarSeries.LongitudeRadians(millennium) * ToDegrees;
        double earthLatitude = SolarSeries.LatitudeRadians(millennium) * ToDegrees;
        double distance = SolarSeries.DistanceAstronomicalUnits(millennium);
        SolarSeries.Nutation(ephemerisCentury, out double nutationLongitude, out double nutationObliquity);
        double obliquity = (MeanObliquityArcSeconds(millennium / 10) / 3600) + nutationObliquity;
        double aberration = -20.4898 / (3600 * distance);
        double apparentLongitude = earthLongitude + 180 + nutationLongitude + aberration;
        double meanSidereal =
            280.46061837 + (360.98564736629 * days) + (century * century * (0.000387933 - (century / 38710000)));
        double sidereal = meanSidereal + (nutationLongitude * Math.Cos(obliquity * ToRadians));
        (double sineLongitude, double cosineLongitude) = Math.SinCos(apparentLongitude * ToRadians);
        (double sineObliquity, double cosineObliquity) = Math.SinCos(obliquity * ToRadians);
        (double sineLatitude, double cosineLatitude) = Math.SinCos(-earthLatitude * ToRadians);
        double ascension = Math.Atan2(
            (sineLongitude * cosineObliquity) - (sineLatitude / cosineLatitude * sineObliquity),
            cosineLongitude
        );
        double declination = Math.Asin(
            (sineLatitude * cosineObliquity) + (cosineLatitude * sineObliquity * sineLongitude)
        );
        return new(
            julianDay,
            earthLongitude,
            earthLatitude,
            distance,
            nutationLongitude,
            nutationObliquity,
            obliquity,
            apparentLongitude,
            sidereal,
            ascension < 0 ? (ascension * ToDegrees) + 360 : ascension * ToDegrees,
            declination * ToDegrees
        );
    }

    /// <summary>Hour angle at a longitude, positive west (after noon), in [-180, 180).</summary>
    public double HourAngleDegrees(double longitudeDegrees)
    {
        double angle = SiderealDegrees + longitudeDegrees - RightAscensionDegrees;
        return angle - (360 * Math.Floor((angle + 180) / 360));
    }

    /// <summary>Altitude as from the earth's centre, without refraction: what rise and set tables use; degrees.</summary>
    public double AltitudeDegrees(GeographicPoint place)
    {
        (double sineLatitude, double cosineLatitude) = Math.SinCos(place.Latitude.Radians);
        (double sineDeclination, double cosineDeclination) = Math.SinCos(DeclinationDegrees * ToRadians);
        double sine =
            (sineLatitude * sineDeclination)
            + (cosineLatitude * cosineDeclination * Math.Cos(HourAngleDegrees(place.Longitude.Degrees) * ToRadians));
        return Math.Asin(Math.Clamp(sine, -1, 1)) * ToDegrees;
    }

    /// <summary>Apparent less mean solar time, minutes, in [-20, 20].</summary>
    public double EquationOfTimeMinutes(double deltaTSeconds)
    {
        double t = (JulianDay - J2000 + (deltaTSeconds / 86400)) / 365250;
        double mean = MeanLongitudeDegrees(t);
        double minutes =
            4
            * (
                mean
                - 0.0057183
                - RightAscensionDegrees
                + (NutationLongitudeDegrees * Math.Cos(ObliquityDegrees * ToRadians))
            );
        return minutes - (1440 * Math.Round(minutes / 1440));
    }

    /// <summary>The sun's mean longitude, degrees, not wrapped.</summary>
    public static double MeanLongitudeDegrees(double julianEphemerisMillennia)
    {
        double t = julianEphemerisMillennia;
        return 280.4664567
            + (
                t
                * (360007.6982779 + (t * (0.03032028 + (t * ((1.0 / 49931) + (t * ((-1.0 / 15300) - (t / 2000000))))))))
            );
    }

    private static double MeanObliquityArcSeconds(double u)
    {
        ReadOnlySpan<double> terms =
        [
            84381.448,
            -4680.93,
            -1.55,
            1999.25,
            -51.38,
            -249.67,
            -39.05,
            7.12,
            27.87,
            5.79,
            2.45,
        ];
        double sum = 0;
        for (int power = terms.Length - 1; power >= 0; power--)
        {
            sum = (sum * u) + terms[power];
        }

        return sum;
    }
}
