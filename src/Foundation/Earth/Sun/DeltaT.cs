namespace Hillrow.Earth;

/// <summary>ΔT = terrestrial time less universal time, seconds: how much the earth's turning lags an even clock.</summary>
/// <remarks>
/// Source: F. Espenak &amp; J. Meeus 2006, Five Millennium Canon of Solar Eclipses, NASA/TP-2006-214141, polynomials for
/// 1900 – 2005 (from memory). From 2005 to 2025 observed yearly values (IERS Bulletin A, from memory, 0.1 s); the
/// polynomials overshoot there by 6 s. Beyond 2025 the published polynomials lowered by their miss in 2025, so that they
/// join what was observed. Error: 1 s to 2030, some 30 s by 2100; one second moves the sun by 0.00001°.
/// </remarks>
public static class DeltaT
{
    private const int FirstObserved = 2005;

    private static readonly double[] Observed =
    [
        64.7,
        64.8,
        65.1,
        65.5,
        65.8,
        66.1,
        66.3,
        66.6,
        66.9,
        67.3,
        67.6,
        68.1,
        68.6,
        69.0,
        69.2,
        69.4,
        69.4,
        69.3,
        69.2,
        69.2,
        69.1,
    ];

    /// <summary>ΔT of a moment.</summary>
    public static double SecondsAt(DateTimeOffset moment)
    {
        DateTime utc = moment.UtcDateTime;
        double daysInYear = DateTime.IsLeapYear(utc.Year) ? 366 : 365;
        return SecondsAt(utc.Year + ((utc.DayOfYear - 1 + utc.TimeOfDay.TotalDays) / daysInYear));
    }

    /// <summary>ΔT of a year with its fraction, for instance 2026.5.</summary>
    public static double SecondsAt(double year)
    {
        double lastObserved = FirstObserved + Observed.Length - 1;
        if (year >= lastObserved)
        {
            return Polynomial(year) - Polynomial(lastObserved) + Observed[^1];
        }

        if (year >= FirstObserved)
        {
            int index = (int)(year - FirstObserved);
            double part = year - FirstObserved - index;
            return Observed[index] + (part * (Observed[index + 1] - Observed[index]));
        }

        return Polynomial(year);
    }

    private static double Polynomial(double year)
    {
        double t;
        switch (year)
        {
            case < 1900 or >= 2150:
                t = (year - 1820) / 100;
                return -20 + (32 * t * t);
            case < 1920:
                t = year - 1900;
                return -2.79 + (t * (1.494119 + (t * (-0.0598939 + (t * (0.0061966 - (t * 0.000197)))))));
            case < 1941:
                t = year - 1920;
                return 21.20 + (t * (0.84493 + (t * (-0.076100 + (t * 0.0020936)))));
            case < 1961:
                t = year - 1950;
                return 29.07 + (t * (0.407 + (t * ((-1.0 / 233) + (t / 2547)))));
            case < 1986:
                t = year - 1975;
                return 45.45 + (t * (1.067 + (t * ((-1.0 / 260) - (t / 718)))));
            case < 2005:
                t = year - 2000;
                return 63.86
                    + (
                        t * (0.3345 + (t * (-0.060374 + (t * (0.0017275 + (t * (0.000651814 + (t * 0.00002373599))))))))
                    );
            case < 2050:
                t = year - 2000;
                return 62.92 + (t * (0.32217 + (t * 0.005589)));
            default:
                t = (year - 1820) / 100;
                return -20 + (32 * t * t) - (0.5628 * (2150 - year));
        }
    }
}
