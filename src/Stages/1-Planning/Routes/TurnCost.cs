namespace Hillrow.Planning;

/// <summary>How the aircraft gets from the end of one line to the beginning of another, and how long that takes.</summary>
internal sealed class TurnCost(AircraftProfile aircraft, KeptOutAreas keptOut)
{
    /// <summary>Slower than this a turn is a hover turn.</summary>
    private const double SlowestTurnMetresPerSecond = 1.5;

    /// <summary>Seconds to stop at a corner of a detour, turn the nose and start again.</summary>
    public const double CornerSeconds = 4;

    public double LargestRadiusMetres => Radius(aircraft.TurnSpeedMetresPerSecond);

    /// <summary>Radius that joins two lines side by side by half a circle, within what the turn speed allows.</summary>
    public double RadiusBetween(Heading from, Heading to)
    {
        double east = to.Place.EastMetres - from.Place.EastMetres;
        double north = to.Place.NorthMetres - from.Place.NorthMetres;
        (double sine, double cosine) = Math.SinCos(from.AzimuthRadians);
        double sideways = Math.Abs((east * cosine) - (north * sine));
        return Math.Clamp(sideways / 2, Radius(SlowestTurnMetresPerSecond), LargestRadiusMetres);
    }

    public double SpeedOnRadius(double radiusMetres) =>
        Math.Min(
            aircraft.TurnSpeedMetresPerSecond,
            Math.Sqrt(radiusMetres * aircraft.TurnAccelerationMetresPerSecondSquared)
        );

    /// <summary>Whether the way is long enough to speed up to transit speed.</summary>
    public bool IsTransit(Heading from, Heading to) => from.Place.DistanceTo(to.Place) > 6 * LargestRadiusMetres;

    /// <summary>Seconds between two headings; null stands for home, where the aircraft hovers and may turn freely.</summary>
    public double Seconds(Heading? from, Heading? to, PlanPoint home)
    {
        PlanPoint a = from?.Place ?? home;
        PlanPoint b = to?.Place ?? home;
        if (keptOut.Outlines.Count > 0 && keptOut.Blocks(a, b))
        {
            List<PlanPoint>? way = keptOut.Way(a, b);
            if (way is null)
            {
                return 1e6;
            }

            double length = way.Zip(way.Skip(1)).Sum(pair => pair.First.DistanceTo(pair.Second));
            return (length / aircraft.TransitSpeedMetresPerSecond) + ((way.Count - 2) * CornerSeconds);
        }

        Heading begin = from ?? new Heading(a, a.AzimuthTo(b));
        Heading end = to ?? new Heading(b, a.AzimuthTo(b));
        double radius = RadiusBetween(begin, end);
        double metres = SmoothTurn.Between(begin, end, radius).LengthMetres;
        double turnSpeed = SpeedOnRadius(radius);
        if (!IsTransit(begin, end))
        {
            return metres / turnSpeed;
        }

        // Two quarter turns slowly, the rest fast.
        double slow = Math.Min(metres, Math.PI * radius);
        return (slow / turnSpeed) + ((metres - slow) / aircraft.TransitSpeedMetresPerSecond);
    }

    /// <summary>Length of the way between two headings; null stands for home.</summary>
    public double Metres(Heading? from, Heading? to, PlanPoint home)
    {
        PlanPoint a = from?.Place ?? home;
        PlanPoint b = to?.Place ?? home;
        if (keptOut.Outlines.Count > 0 && keptOut.Blocks(a, b))
        {
            return keptOut.Way(a, b) is { } way
                ? way.Zip(way.Skip(1)).Sum(pair => pair.First.DistanceTo(pair.Second))
                : 1e6;
        }

        Heading begin = from ?? new Heading(a, a.AzimuthTo(b));
        Heading end = to ?? new Heading(b, a.AzimuthTo(b));
        return SmoothTurn.Between(begin, end, RadiusBetween(begin, end)).LengthMetres;
    }

    private double Radius(double speed) => speed * speed / aircraft.TurnAccelerationMetresPerSecondSquared;
}
