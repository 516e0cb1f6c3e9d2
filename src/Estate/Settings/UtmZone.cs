using System.Globalization;
using Hillrow.Earth;

namespace Hillrow.Estate;

/// <summary>Names UTM zones as people write them: "23S".</summary>
public static class UtmZone
{
    public static bool IsUtm(ReferenceSystem system) =>
        system.EpsgCode is (>= 32601 and <= 32660) or (>= 32701 and <= 32760);

    /// <summary>The system of "23S", "23 s", "EPSG:32723" or "32723"; null when it is none of these.</summary>
    public static ReferenceSystem? Parse(string text)
    {
        string compact = text.Replace(" ", "", StringComparison.Ordinal).ToUpperInvariant();
        string code = compact.StartsWith("EPSG:", StringComparison.Ordinal) ? compact[5..] : compact;
        if (int.TryParse(code, NumberStyles.None, CultureInfo.InvariantCulture, out int epsg))
        {
            ReferenceSystem system = new(epsg);
            return IsUtm(system) ? system : null;
        }

        return
            compact.Length is 2 or 3
            && compact[^1] is 'N' or 'S'
            && int.TryParse(compact[..^1], NumberStyles.None, CultureInfo.InvariantCulture, out int zone)
            && zone is >= 1 and <= 60
            ? ReferenceSystem.Utm(zone, compact[^1] == 'N')
            : null;
    }

    /// <summary>The zone that a place lies in (plain six-degree zones, without the exceptions of the far north).</summary>
    public static ReferenceSystem At(double latitudeDegrees, double longitudeDegrees)
    {
        double turned = longitudeDegrees - (360 * Math.Floor((longitudeDegrees + 180) / 360));
        int zone = Math.Clamp((int)Math.Floor((turned + 180) / 6) + 1, 1, 60);
        return ReferenceSystem.Utm(zone, latitudeDegrees >= 0);
    }

    public static string NameOf(ReferenceSystem system) =>
        IsUtm(system) ? $"{system.EpsgCode % 100}{(system.EpsgCode < 32700 ? 'N' : 'S')}" : system.ToString();
}
