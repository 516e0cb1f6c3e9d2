using System.Globalization;
using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>UTM zones as people write them: "23S", or by EPSG code.</summary>
public static class UtmZoneText
{
    /// <summary>Outlines farther than this from the zone's middle lie in another zone and would be stretched.</summary>
    private const double FarthestFromCentralMeridianDegrees = 6;

    /// <summary>An estate may reach across the equator, but no farther: beyond, one of the two is in the wrong hemisphere.</summary>
    private const double FarthestBeyondEquatorDegrees = 1;

    private const double FarthestFromEquatorDegrees = 84;

    public static bool IsUtm(ReferenceSystem system) =>
        system.EpsgCode is (>= 32601 and <= 32660) or (>= 32701 and <= 32760);

    /// <summary>The system of "23S", "23 s", "EPSG:32723" or "32723"; null when it is none of these.</summary>
    public static ReferenceSystem? Parse(string text)
    {
        string compact = text.Replace(" ", "", StringComparison.Ordinal).ToUpperInvariant();
        string code = compact.StartsWith("EPSG:", StringComparison.Ordinal) ? compact[5..] : compact;
        if (int.TryParse(code, NumberStyles.None, CultureInfo.InvariantCulture, out int epsg))
        {
            return epsg is (>= 32601 and <= 32660) or (>= 32701 and <= 32760) ? new ReferenceSystem(epsg) : null;
        }

        return
            compact.Length is 2 or 3
            && compact[^1] is 'N' or 'S'
            && int.TryParse(compact[..^1], NumberStyles.None, CultureInfo.InvariantCulture, out int zone)
            && zone is >= 1 and <= 60
            ? ReferenceSystem.Utm(zone, compact[^1] == 'N')
            : null;
    }

    public static string ZoneOf(ReferenceSystem system) =>
        $"{system.EpsgCode % 100}{(system.EpsgCode < 32700 ? 'N' : 'S')}";

    /// <summary>True where an estate of that zone may lie; false for what is no place.</summary>
    public static bool Reaches(ReferenceSystem zone, double latitudeDegrees, double longitudeDegrees)
    {
        double middle = ((zone.EpsgCode % 100) * 6) - 183;
        bool isNorthern = zone.EpsgCode / 100 % 10 == 6;
        return Math.Abs(Angle.FromDegrees(longitudeDegrees - middle).WrappedSigned().Degrees)
                <= FarthestFromCentralMeridianDegrees
            && Math.Abs(latitudeDegrees) < FarthestFromEquatorDegrees
            && (isNorthern ? latitudeDegrees : -latitudeDegrees) > -FarthestBeyondEquatorDegrees;
    }

    public static string CodeOf(ReferenceSystem system) => FormattableString.Invariant($"EPSG:{system.EpsgCode}");
}
