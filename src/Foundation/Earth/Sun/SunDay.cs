namespace Hillrow.Earth;

/// <summary>What the sun does over one day at a place.</summary>
public enum SunDayKind
{
    RisesAndSets,

    /// <summary>Polar day: above the threshold all day.</summary>
    StaysUp,

    /// <summary>Polar night: below the threshold all day.</summary>
    StaysDown,
}

/// <summary>Sunrise, highest stand and sunset of one local solar day.</summary>
/// <param name="Kind">Whether there is a sunrise and a sunset.</param>
/// <param name="Transit">The sun's highest stand (hour angle 0), UTC.</param>
/// <param name="Rise">UTC; null unless it rises.</param>
/// <param name="Set">UTC; null unless it sets.</param>
/// <remarks>
/// The crossings are found by bisection and secant on the full algorithm, to 1 ms, not by the report's one-step
/// interpolation (NREL/TP-560-34302, A.2), from which they differ by less than 0.5 s. Weather moves the visible sunrise by
/// a minute or more.
/// </remarks>
public sealed record SunDay(SunDayKind Kind, DateTimeOffset Transit, DateTimeOffset? Rise, DateTimeOffset? Set)
{
    /// <summary>Altitude of the disc's centre, without air, when its upper edge touches the horizon.</summary>
    public const double RiseAltitudeDegrees = -(SunPosition.SunRadiusDegrees + SunPosition.HorizonRefractionDegrees);

    /// <summary>Time above the threshold; a whole day or nothing in the polar cases.</summary>
    public TimeSpan DayLength =>
        Kind switch
        {
            SunDayKind.StaysUp => TimeSpan.FromDays(1),
            SunDayKind.StaysDown => TimeSpan.Zero,
            _ => Set!.Value - Rise!.Value,
        };

    /// <summary>Sunrise and sunset as tables give them: seen from the earth's centre, horizon not dipped.</summary>
    /// <param name="localDate">The date on which it is noon there by local mean solar time.</param>
    /// <param name="place">Of the observer.</param>
    /// <param name="deltaTSeconds">Null takes <see cref="DeltaT"/>.</param>
    /// <param name="ut1LessUtcSeconds">UT1 − UTC, within ±0.9 s.</param>
    public static SunDay Of(
        DateOnly localDate,
        GeographicPoint place,
        double? deltaTSeconds = null,
        double ut1LessUtcSeconds = 0
    ) =>
        Of(localDate, place, deltaTSeconds, ut1LessUtcSeconds, sun => sun.AltitudeDegrees(place) - RiseAltitudeDegrees);

    /// <summary>When the sun stands above an altitude, without air, as seen from the place itself.</summary>
    /// <param name="localDate">The date on which it is noon there by local mean solar time.</param>
    /// <param name="place">Of the observer.</param>
    /// <param name="altitudeDegrees">Threshold, −90 … 90.</param>
    /// <param name="deltaTSeconds">Null takes <see cref="DeltaT"/>.</param>
    /// <param name="ut1LessUtcSeconds">UT1 − UTC, within ±0.9 s.</param>
    public static SunDay Above(
        DateOnly localDate,
        GeodeticPosition place,
        double altitudeDegrees,
        double? deltaTSeconds = null,
        double ut1LessUtcSeconds = 0
    ) =>
        Of(
            localDate,
            new GeographicPoint(place.Latitude, place.Longitude),
            deltaTSeconds,
            ut1LessUtcSeconds,
            sun => SunPosition.At(sun, place, Atmosphere.None).AirlessAltitude.Degrees - altitudeDegrees
        );

    private static SunDay Of(
        DateOnly localDate,
        GeographicPoint place,
        double? deltaTSeconds,
        double ut1LessUtcSeconds,
        Func<SunGeocentric, double> above
    )
    {
        double longitude = place.Longitude.WrappedSigned().Degrees;
        DateTimeOffset midday = new(localDate.ToDateTime(new TimeOnly(12, 0)), TimeSpan.Zero);
        double deltaT = deltaTSeconds ?? DeltaT.SecondsAt(midday);
        double noon = SunGeocentric.JulianDayOf(midday) - (longitude / 360);
        double transit = TransitNear(noon, longitude, deltaT);
        double before = TransitNear(noon - 0.5, longitude + 180, deltaT);
        double after = TransitNear(noon + 0.5, longitude + 180, deltaT);
        double At(double julianDay) => above(SunGeocentric.At(julianDay, deltaT));
        DateTimeOffset Moment(double julianDay) =>
            DateTimeOffset.UnixEpoch.AddTicks(
                (long)Math.Round((julianDay - 2440587.5) * TimeSpan.TicksPerDay)
                    - (long)Math.Round(ut1LessUtcSeconds * TimeSpan.TicksPerSecond)
            );
        bool upAtNoon = At(transit) > 0;
        bool downBefore = At(before) < 0;
        bool downAfter = At(after) < 0;
        if (!upAtNoon)
        {
            return new(SunDayKind.StaysDown, Moment(transit), null, null);
        }

        if (!downBefore && !downAfter)
        {
            return new(SunDayKind.StaysUp, Moment(transit), null, null);
        }

        // At the edge of the polar season one end of the day may be missing: the lowest stand then counts as that end.
        double rise = downBefore ? Crossing(At, before, transit) : before;
        double set = downAfter ? Crossing(At, after, transit) : after;
        return new(SunDayKind.RisesAndSets, Moment(transit), Moment(rise), Moment(set));
    }

    /// <summary>The moment near a guess when the hour angle at a longitude is 0.</summary>
    private static double TransitNear(double guess, double longitude, double deltaT)
    {
        double day = guess;
        for (int pass = 0; pass < 6; pass++)
        {
            // The hour angle grows by 360° in a solar day, within 0.03 %.
            double step = SunGeocentric.At(day, deltaT).HourAngleDegrees(longitude) / 360;
            day -= step;
            if (Math.Abs(step) < 1e-9)
            {
                break;
            }
        }

        return day;
    }

    /// <summary>The zero between a moment below and one above (Illinois variant of false position), to 1e-9 day.</summary>
    private static double Crossing(Func<double, double> function, double below, double above)
    {
        double low = function(below);
        double high = function(above);
        int lastSide = 0;
        for (int pass = 0; pass < 100 && Math.Abs(above - below) > 1e-9; pass++)
        {
            double middle = below + ((above - below) * (low / (low - high)));
            double value = function(middle);
            if (Math.Abs(value) < 1e-9)
            {
                return middle;
            }

            // An end kept twice running counts half: without that, false position creeps.
            if (value < 0)
            {
                high = lastSide < 0 ? high / 2 : high;
                (below, low, lastSide) = (middle, value, -1);
            }
            else
            {
                low = lastSide > 0 ? low / 2 : low;
                (above, high, lastSide) = (middle, value, 1);
            }
        }

        return (below + above) / 2;
    }
}
