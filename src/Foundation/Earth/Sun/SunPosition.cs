using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>Where the sun stands for a place at a moment.</summary>
/// <param name="Azimuth">Clockwise from true north, in [0°, 360°).</param>
/// <param name="AirlessAltitude">Above the horizontal, without refraction.</param>
/// <param name="Refraction">How much the air lifts the sun.</param>
/// <param name="Geocentric">The sun for the earth's centre.</param>
/// <remarks>
/// Source: I. Reda &amp; A. Andreas 2004, DOI 10.1016/j.solener.2003.12.003; NREL/TP-560-34302 (rev. 2008), sections
/// 3.11 – 3.15. Stated uncertainty 0.0003°; measured against the report's example and astropy,
/// tests/Reference/solar-position. A day's error of the hour angle comes from UT1 − UTC: 0.9 s is 0.004°.
/// </remarks>
public readonly record struct SunPosition(
    Angle Azimuth,
    Angle AirlessAltitude,
    Angle Refraction,
    SunGeocentric Geocentric
)
{
    /// <summary>Mean radius of the sun's disc.</summary>
    public const double SunRadiusDegrees = 0.26667;

    /// <summary>Refraction at the horizon that sunrise and sunset assume.</summary>
    public const double HorizonRefractionDegrees = 0.5667;

    private const double ToRadians = Math.PI / 180;

    /// <summary>Above the horizontal, as seen through the air.</summary>
    public Angle Altitude => AirlessAltitude + Refraction;

    /// <summary>From the vertical, as seen through the air.</summary>
    public Angle Zenith => Angle.FromDegrees(90) - Altitude;

    /// <summary>Unit vector towards the sun in local east-north-up axes, as seen through the air.</summary>
    public Vector3D Direction => new(Altitude.Cosine * Azimuth.Sine, Altitude.Cosine * Azimuth.Cosine, Altitude.Sine);

    /// <summary>The sun at a moment, with ΔT from <see cref="DeltaT"/>, UT1 = UTC and the standard atmosphere.</summary>
    /// <param name="moment">Any offset; UTC is what counts.</param>
    /// <param name="place">Height matters little: 0.000001° a metre at most.</param>
    public static SunPosition At(DateTimeOffset moment, GeodeticPosition place) =>
        At(
            SunGeocentric.At(SunGeocentric.JulianDayOf(moment), DeltaT.SecondsAt(moment)),
            place,
            Atmosphere.StandardAt(place.HeightAboveEllipsoidMetres)
        );

    /// <summary>The sun at a moment with everything given.</summary>
    /// <param name="moment">Any offset; UTC is what counts.</param>
    /// <param name="place">Of the observer.</param>
    /// <param name="atmosphere">At the place.</param>
    /// <param name="deltaTSeconds">Terrestrial less universal time (UT1).</param>
    /// <param name="ut1LessUtcSeconds">UT1 − UTC as the earth rotation service publishes it, within ±0.9 s.</param>
    public static SunPosition At(
        DateTimeOffset moment,
        GeodeticPosition place,
        Atmosphere atmosphere,
        double deltaTSeconds,
        double ut1LessUtcSeconds = 0
    ) =>
        At(
            SunGeocentric.At(SunGeocentric.JulianDayOf(moment) + (ut1LessUtcSeconds / 86400), deltaTSeconds),
            place,
            atmosphere
        );

    /// <summary>From the sun for the earth's centre to the sun for a place.</summary>
    public static SunPosition At(SunGeocentric sun, GeodeticPosition place, Atmosphere atmosphere)
    {
        double hourAngle = sun.HourAngleDegrees(place.Longitude.Degrees) * ToRadians;
        double parallax = 8.794 / (3600 * sun.DistanceAstronomicalUnits) * ToRadians;
        (double sineLatitude, double cosineLatitude) = Math.SinCos(place.Latitude.Radians);
        double reduced = Math.Atan2(0.99664719 * sineLatitude, cosineLatitude);
        double height = place.HeightAboveEllipsoidMetres / 6378140;
        double x = Math.Cos(reduced) + (height * cosineLatitude);
        double y = (0.99664719 * Math.Sin(reduced)) + (height * sineLatitude);
        (double sineHour, double cosineHour) = Math.SinCos(hourAngle);
        (double sineDeclination, double cosineDeclination) = Math.SinCos(sun.DeclinationDegrees * ToRadians);
        double sineParallax = Math.Sin(parallax);
        double ahead = cosineDeclination - (x * sineParallax * cosineHour);
        double shift = Math.Atan2(-x * sineParallax * sineHour, ahead);
        double declination = Math.Atan2((sineDeclination - (y * sineParallax)) * Math.Cos(shift), ahead);
        (double sineTopocentric, double cosineTopocentric) = Math.SinCos(declination);
        (double sineHere, double cosineHere) = Math.SinCos(hourAngle - shift);

        // East, north and up of the direction: sharper near the zenith than the arc sine of the altitude alone.
        double east = -cosineTopocentric * sineHere;
        double north = (cosineLatitude * sineTopocentric) - (sineLatitude * cosineTopocentric * cosineHere);
        double up = (sineLatitude * sineTopocentric) + (cosineLatitude * cosineTopocentric * cosineHere);
        double altitude = Math.Atan2(up, Math.Sqrt((east * east) + (north * north)));
        return new(
            Angle.FromRadians(Math.Atan2(east, north)).WrappedPositive(),
            Angle.FromRadians(altitude),
            Angle.FromDegrees(atmosphere.RefractionDegrees(altitude / ToRadians)),
            sun
        );
    }

    /// <summary>Angle between the sun and the normal of a slope, 0° … 180°; above 90° the slope is turned away.</summary>
    /// <param name="slope">From the horizontal.</param>
    /// <param name="aspect">Downhill direction, clockwise from true north.</param>
    public Angle IncidenceOn(Angle slope, Angle aspect)
    {
        Vector3D normal = new(slope.Sine * aspect.Sine, slope.Sine * aspect.Cosine, slope.Cosine);
        Vector3D sun = Direction;
        return Angle.FromRadians(Math.Atan2(Vector3D.Cross(normal, sun).Length, Vector3D.Dot(normal, sun)));
    }
}
