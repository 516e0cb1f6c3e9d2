namespace Hillrow.Earth;

/// <summary>A UTM zone: 1 … 60, north or south of the equator.</summary>
/// <remarks>Source: NGA.SIG.0012 2014, with its exceptions for south-west Norway (32V) and Svalbard (31X–37X).</remarks>
public readonly record struct UtmZone(int Number, bool North)
{
    /// <summary>Central meridian, degrees east.</summary>
    public double CentralMeridianDegrees => (6 * Number) - 183;

    /// <summary>
    /// The standard zone of a place. The equator counts as north; longitude 180° counts as zone 1. Beyond 84° N and
    /// 80° S, where maps use a polar grid, the zone of the longitude is given all the same.
    /// </summary>
    public static UtmZone Of(GeographicPoint place)
    {
        // Degrees went through radians: rounding to a micrometre puts a place exactly on an edge back on it.
        double latitude = Math.Round(place.Latitude.Degrees, 11);
        double longitude = Math.Round(place.Longitude.WrappedSigned().Degrees, 11);
        int number = Math.Clamp((int)Math.Floor((longitude + 180) / 6) + 1, 1, 60);
        if (latitude is >= 56 and < 64 && longitude is >= 3 and < 12)
        {
            number = 32;
        }
        else if (latitude is >= 72 and < 84 && longitude is >= 0 and < 42)
        {
            number = longitude switch
            {
                < 9 => 31,
                < 21 => 33,
                < 33 => 35,
                _ => 37,
            };
        }

        return new(number, place.Latitude.Radians >= 0);
    }

    /// <summary>WGS 84 / UTM of this zone.</summary>
    public ReferenceSystem ToReferenceSystem() => ReferenceSystem.Utm(Number, North);

    public override string ToString() => FormattableString.Invariant($"{Number}{(North ? 'N' : 'S')}");
}
