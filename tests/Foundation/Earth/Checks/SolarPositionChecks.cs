using System.Globalization;
using System.Text.Json;
using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.TestSupport;

namespace Hillrow.Checks;

/// <summary>Every case of tests/Reference/solar-position against our sun positions and sunrise times.</summary>
public static class SolarPositionChecks
{
    private const double ToRadians = Math.PI / 180;

    /// <summary>The worked example of the algorithm's report, with its intermediate values.</summary>
    public static CheckTally WorkedExample()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("solar-position", "spa_worked_example.json").Cases)
        {
            double deltaT = Number(check.In, "delta_t_s");
            DateTimeOffset moment = Moment(check.In.GetProperty("utc"));
            SunGeocentric sun = SunGeocentric.At(SunGeocentric.JulianDayOf(moment), deltaT);
            double millennium = (sun.JulianDay - 2451545 + (deltaT / 86400)) / 365250;
            void Compare(string name, double got, double absolute, double turn = 0)
            {
                double want = Number(check.Out, name);
                tally.Compare(check.Id, name, turn > 0 ? Near(got, want, turn) : got, want, absolute);
            }

            for (int power = 0; power <= 5; power++)
            {
                // L1's sum is 6e11: its last printed digit is at the end of double precision.
                Compare($"L{power}", SolarSeries.LongitudeSum(power, millennium), power == 1 ? 1e-4 : 6e-7);
            }

            for (int power = 0; power <= 1; power++)
            {
                Compare($"B{power}", SolarSeries.LatitudeSum(power, millennium), 6e-7);
            }

            for (int power = 0; power <= 4; power++)
            {
                Compare($"R{power}", SolarSeries.DistanceSum(power, millennium), power == 0 ? 1e-6 : 6e-7);
            }

            Compare("JD", sun.JulianDay, 5e-7);
            Compare("L_deg", sun.EarthLongitudeDegrees, 1e-9, 360);
            Compare("B_deg", sun.EarthLatitudeDegrees, 6e-11);
            Compare("R_au", sun.DistanceAstronomicalUnits, 6e-11);
            Compare("theta_deg", sun.EarthLongitudeDegrees + 180, 1e-9, 360);
            Compare("beta_deg", -sun.EarthLatitudeDegrees, 6e-11);
            Compare("delta_psi_deg", sun.NutationLongitudeDegrees, 6e-9);
            Compare("delta_eps_deg", sun.NutationObliquityDegrees, 6e-9);
            Compare("eps_deg", sun.ObliquityDegrees, 6e-7);
            Compare("lambda_deg", sun.ApparentLongitudeDegrees, 1e-9, 360);
            Compare("alpha_deg", sun.RightAscensionDegrees, 6e-6, 360);
            Compare("delta_deg", sun.DeclinationDegrees, 6e-6);
            Compare("H_deg", sun.HourAngleDegrees(Number(check.In, "lon")), 6e-6, 360);
            Compare("sun_mean_longitude_M_deg", SunGeocentric.MeanLongitudeDegrees(millennium), 1e-8, 360);
            // The printed 14.641503 does not follow from the printed M, α, Δψ and ε (they give 14.64151): 1 ms of time.
            Compare("equation_of_time_min", sun.EquationOfTimeMinutes(deltaT), 1e-5);
            SunPosition position = SunPosition.At(sun, Place(check.In), Air(check.In));
            Compare("zenith_deg", position.Zenith.Degrees, 1e-5);
            Compare("azimuth_deg", position.Azimuth.Degrees, 1e-5, 360);
            Compare("incidence_deg", Incidence(position, check.In, "surface_aspect_deg"), 1e-5);

            // The report gives the sunset of the universal date, which here is that of the evening before.
            DateOnly local = DateOnly.FromDateTime(moment.AddHours(Number(check.In, "tz_h")).DateTime);
            SunDay day = SunDay.Of(local, Point(check.In), deltaT);
            SunDay dayBefore = SunDay.Of(local.AddDays(-1), Point(check.In), deltaT);
            CompareClock(tally, check, "transit_ut", day.Transit);
            CompareClock(tally, check, "sunrise_ut", day.Rise!.Value);
            DateTimeOffset set =
                day.Set!.Value.UtcDateTime.Date > moment.UtcDateTime.Date ? dayBefore.Set!.Value : day.Set.Value;
            CompareClock(tally, check, "sunset_ut", set);
        }

        return tally;
    }

    /// <summary>Places and times computed by astropy.</summary>
    public static CheckTally Positions()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("solar-position", "sun_positions.json").Cases)
        {
            SunPosition position = PositionOf(check);
            double altitude = Number(check.Out, "airless_altitude_deg");
            tally.Compare(check.Id, "altitude", position.AirlessAltitude.Degrees, altitude, 0.0005);
            double azimuth = Number(check.Out, "azimuth_deg");
            tally.Compare(
                check.Id,
                "azimuth",
                Near(position.Azimuth.Degrees, azimuth, 360),
                azimuth,
                altitude > 45 ? 0.0005 / Math.Cos(altitude * ToRadians) : 0.0005
            );
            tally.Compare(
                check.Id,
                "refraction",
                position.Refraction.Degrees,
                Number(check.Out, "refraction_deg"),
                2e-5
            );
            tally.Compare(
                check.Id,
                "zenith",
                position.Zenith.Degrees,
                Number(check.Out, "refracted_zenith_deg"),
                0.0005
            );
            double ascension = Number(check.Out, "geocentric_ra_deg");
            tally.Compare(
                check.Id,
                "right ascension",
                Near(position.Geocentric.RightAscensionDegrees, ascension, 360),
                ascension,
                0.0005
            );
            tally.Compare(
                check.Id,
                "declination",
                position.Geocentric.DeclinationDegrees,
                Number(check.Out, "geocentric_dec_deg"),
                0.0003
            );
            tally.Compare(
                check.Id,
                "distance",
                position.Geocentric.DistanceAstronomicalUnits,
                Number(check.Out, "sun_distance_au"),
                2e-5
            );
            tally.Compare(
                check.Id,
                "incidence",
                Incidence(position, check.In, "aspect_deg"),
                Number(check.Out, "incidence_deg"),
                0.0006
            );
        }

        return tally;
    }

    /// <summary>
    /// Largest angle between our airless sun and astropy's, and between our refracted sun and the report's, degrees.
    /// </summary>
    public static double MaxErrorDegrees()
    {
        double worst = 0;
        foreach (CheckCase check in CheckBook.Open("solar-position", "sun_positions.json").Cases)
        {
            SunPosition position = PositionOf(check);
            worst = Math.Max(
                worst,
                Apart(
                    position.AirlessAltitude.Degrees,
                    position.Azimuth.Degrees,
                    Number(check.Out, "airless_altitude_deg"),
                    Number(check.Out, "azimuth_deg")
                )
            );
        }

        foreach (CheckCase check in CheckBook.Open("solar-position", "spa_worked_example.json").Cases)
        {
            SunPosition position = PositionOf(check);
            worst = Math.Max(
                worst,
                Apart(
                    position.Altitude.Degrees,
                    position.Azimuth.Degrees,
                    90 - Number(check.Out, "zenith_deg"),
                    Number(check.Out, "azimuth_deg")
                )
            );
        }

        return worst;
    }

    /// <summary>Sunrise, transit, sunset and the window above 30°, by root search on astropy.</summary>
    public static CheckTally RiseAndSet()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("solar-position", "rise_transit_set.json").Cases)
        {
            DateOnly date = DateOnly.Parse(
                check.In.GetProperty("utc_date_of_local_noon").GetString()!,
                CultureInfo.InvariantCulture
            );
            double deltaT = Number(check.In, "delta_t_s");
            double ut1 = Number(check.In, "dut1_s");
            double edge = Math.Abs(Number(check.In, "lat")) < 50 ? 3 : 8;
            SunDay day = SunDay.Of(date, Point(check.In), deltaT, ut1);
            CompareMoment(tally, check, "transit_utc", day.Transit, 1);
            CompareMoment(tally, check, "sunrise_utc", day.Rise, edge);
            CompareMoment(tally, check, "sunset_utc", day.Set, edge);
            if (
                check.Out.TryGetProperty("day_length_s", out JsonElement length)
                && length.ValueKind == JsonValueKind.Number
            )
            {
                tally.Compare(
                    check.Id,
                    "day length",
                    day.DayLength.TotalSeconds,
                    length.GetDouble(),
                    edge > 3 ? 16 : 5
                );
            }

            if (day.Rise is { } rise && check.Out.TryGetProperty("sunrise_azimuth_deg", out JsonElement azimuth))
            {
                SunPosition atRise = SunPosition.At(rise, Place(check.In), Atmosphere.None, deltaT, ut1);
                tally.Compare(check.Id, "sunrise azimuth", atRise.Azimuth.Degrees, azimuth.GetDouble(), 0.02);
            }

            SunDay high = SunDay.Above(date, Place(check.In), 30, deltaT, ut1);
            CompareMoment(tally, check, "above30_from_utc", high.Rise, 3);
            CompareMoment(tally, check, "above30_to_utc", high.Set, 3);
        }

        return tally;
    }

    private static SunPosition PositionOf(CheckCase check) =>
        SunPosition.At(
            Moment(check.In.GetProperty("utc")),
            Place(check.In),
            Air(check.In),
            Number(check.In, "delta_t_s"),
            check.In.TryGetProperty("dut1_s", out JsonElement ut1) ? ut1.GetDouble() : Number(check.In, "delta_ut1_s")
        );

    private static double Incidence(SunPosition position, JsonElement given, string aspect) =>
        position
            .IncidenceOn(Angle.FromDegrees(Number(given, "slope_deg")), Angle.FromDegrees(Number(given, aspect)))
            .Degrees;

    private static double Apart(double altitude, double azimuth, double otherAltitude, double otherAzimuth)
    {
        Vector3D one = Direction(altitude, azimuth);
        Vector3D other = Direction(otherAltitude, otherAzimuth);
        return Math.Asin(Math.Min(1, Vector3D.Cross(one, other).Length)) / ToRadians;
    }

    private static Vector3D Direction(double altitude, double azimuth) =>
        new(
            Math.Cos(altitude * ToRadians) * Math.Sin(azimuth * ToRadians),
            Math.Cos(altitude * ToRadians) * Math.Cos(azimuth * ToRadians),
            Math.Sin(altitude * ToRadians)
        );

    private static void CompareClock(CheckTally tally, CheckCase check, string name, DateTimeOffset got)
    {
        TimeSpan want = TimeSpan.Parse(check.Out.GetProperty(name).GetString()!, CultureInfo.InvariantCulture);
        tally.Compare(
            check.Id,
            name,
            Near(got.TimeOfDay.TotalSeconds, want.TotalSeconds, 86400),
            want.TotalSeconds,
            0.5
        );
    }

    private static void CompareMoment(
        CheckTally tally,
        CheckCase check,
        string name,
        DateTimeOffset? got,
        double seconds
    )
    {
        bool wanted = check.Out.TryGetProperty(name, out JsonElement want) && want.ValueKind == JsonValueKind.String;
        tally.IsTrue(check.Id, $"{name}: {(wanted ? "happens" : "does not happen")}", wanted == got is not null);
        if (wanted && got is not null)
        {
            tally.Compare(check.Id, name, (got.Value - Moment(want)).TotalSeconds, 0, seconds);
        }
    }

    /// <summary>The value a whole number of turns away that lies nearest to the wanted one.</summary>
    private static double Near(double got, double want, double turn) => got - (turn * Math.Round((got - want) / turn));

    private static DateTimeOffset Moment(JsonElement text) =>
        DateTimeOffset.Parse(text.GetString()!, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal);

    private static GeodeticPosition Place(JsonElement given) =>
        GeodeticPosition.FromDegrees(Number(given, "lat"), Number(given, "lon"), Number(given, "elev_m"));

    private static GeographicPoint Point(JsonElement given) =>
        GeographicPoint.FromDegrees(Number(given, "lat"), Number(given, "lon"));

    private static Atmosphere Air(JsonElement given) => new(Number(given, "pressure_mbar"), Number(given, "temp_c"));

    private static double Number(JsonElement given, string name) => given.GetProperty(name).GetDouble();
}
