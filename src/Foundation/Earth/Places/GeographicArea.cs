namespace Hillrow.Earth;

/// <summary>A rectangle of latitudes and longitudes in degrees on WGS 84; not across the 180° meridian.</summary>
public sealed record GeographicArea
{
    /// <exception cref="ArgumentException">The edges are out of order or out of range.</exception>
    public GeographicArea(double southDegrees, double westDegrees, double northDegrees, double eastDegrees)
    {
        if (!(southDegrees <= northDegrees) || !(westDegrees <= eastDegrees) || southDegrees < -90 || northDegrees > 90)
        {
            throw new ArgumentException(
                FormattableString.Invariant(
                    $"South {southDegrees}, west {westDegrees}, north {northDegrees}, east {eastDegrees} are no area."
                )
            );
        }

        SouthDegrees = southDegrees;
        WestDegrees = westDegrees;
        NorthDegrees = northDegrees;
        EastDegrees = eastDegrees;
    }

    public double SouthDegrees { get; }

    public double WestDegrees { get; }

    public double NorthDegrees { get; }

    public double EastDegrees { get; }

    public GeographicPoint Centre =>
        GeographicPoint.FromDegrees((SouthDegrees + NorthDegrees) / 2, (WestDegrees + EastDegrees) / 2);

    /// <summary>The smallest area around some places.</summary>
    /// <exception cref="ArgumentException">There is no place.</exception>
    public static GeographicArea Around(IEnumerable<GeographicPoint> places)
    {
        ArgumentNullException.ThrowIfNull(places);
        (double south, double west, double north, double east) = (
            double.MaxValue,
            double.MaxValue,
            double.MinValue,
            double.MinValue
        );
        foreach (GeographicPoint place in places)
        {
            south = Math.Min(south, place.Latitude.Degrees);
            north = Math.Max(north, place.Latitude.Degrees);
            west = Math.Min(west, place.Longitude.Degrees);
            east = Math.Max(east, place.Longitude.Degrees);
        }

        return new(south, west, north, east);
    }

    /// <summary>The area widened by a ground distance on every side.</summary>
    public GeographicArea Widened(double metres)
    {
        double latitude = metres / 110574;
        double widest = Math.Min(89.9, Math.Max(Math.Abs(SouthDegrees), Math.Abs(NorthDegrees)));
        double longitude = latitude / Math.Cos(widest * (Math.PI / 180));
        return new(
            Math.Max(-90, SouthDegrees - latitude),
            WestDegrees - longitude,
            Math.Min(90, NorthDegrees + latitude),
            EastDegrees + longitude
        );
    }

    public bool Overlaps(GeographicArea other)
    {
        ArgumentNullException.ThrowIfNull(other);
        return SouthDegrees <= other.NorthDegrees
            && other.SouthDegrees <= NorthDegrees
            && WestDegrees <= other.EastDegrees
            && other.WestDegrees <= EastDegrees;
    }
}
