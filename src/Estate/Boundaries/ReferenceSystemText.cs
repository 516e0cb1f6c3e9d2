using System.Globalization;
using System.Text.RegularExpressions;
using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Finds the reference system that a boundary file names.</summary>
internal static partial class ReferenceSystemText
{
    /// <summary>A name such as "urn:ogc:def:crs:EPSG::32718", "EPSG:4326" or "urn:ogc:def:crs:OGC:1.3:CRS84".</summary>
    public static ReferenceSystem FromName(string name, string path)
    {
        if (name.EndsWith("CRS84", StringComparison.OrdinalIgnoreCase))
        {
            return ReferenceSystem.Wgs84Geographic;
        }

        Match code = EpsgAtEnd().Match(name);
        return code.Success ? FromCode(code.Groups[1].Value, path) : throw Unknown(name, path);
    }

    public static ReferenceSystem FromCode(string code, string path) =>
        int.TryParse(code, NumberStyles.None, CultureInfo.InvariantCulture, out int epsg)
        && ReferenceSystem.Find(epsg) is { } system
            ? system
            : throw Unknown($"EPSG:{code}", path);

    /// <summary>The well-known text of a .prj file or a GeoPackage.</summary>
    public static ReferenceSystem FromWellKnownText(string text, string path)
    {
        // The code of the whole system is the last authority of the text; those before belong to its parts.
        Match code = AuthorityAtEnd().Match(text);
        if (
            code.Success
            && ReferenceSystem.Find(int.Parse(code.Groups[1].Value, CultureInfo.InvariantCulture)) is { } known
        )
        {
            return known;
        }

        Match utm = UtmName().Match(text);
        if (utm.Success && int.Parse(utm.Groups[1].Value, CultureInfo.InvariantCulture) is >= 1 and <= 60 and int zone)
        {
            return ReferenceSystem.Utm(zone, utm.Groups[2].Value.Equals("N", StringComparison.OrdinalIgnoreCase));
        }

        return PlainWgs84().IsMatch(text)
            ? ReferenceSystem.Wgs84Geographic
            : throw Unknown(text[..Math.Min(60, text.Length)], path);
    }

    private static InputProblemException Unknown(string system, string path) =>
        new(
            path,
            $"is in the coordinate system \"{Printable(system)}\", which is not known here.",
            "Export it in WGS 84 longitude/latitude (EPSG:4326) or in a WGS 84 / UTM zone."
        );

    private static string Printable(string text) =>
        new([.. text[..Math.Min(60, text.Length)].Select(c => char.IsControl(c) ? ' ' : c)]);

    [GeneratedRegex("EPSG[:/]+(?:[0-9.]*[:/])?([0-9]{4,6})$", RegexOptions.IgnoreCase, 1000)]
    private static partial Regex EpsgAtEnd();

    [GeneratedRegex("(?:AUTHORITY|ID)\\[\"EPSG\",\"?([0-9]{4,6})\"?\\]\\s*\\]\\s*$", RegexOptions.IgnoreCase, 1000)]
    private static partial Regex AuthorityAtEnd();

    [GeneratedRegex(
        "^\\s*PROJC(?:S|RS)\\[\"WGS[ _](?:19)?84[ _/]+UTM[ _]zone[ _]([0-9]{1,2})([NS])\"",
        RegexOptions.IgnoreCase,
        1000
    )]
    private static partial Regex UtmName();

    [GeneratedRegex("^\\s*GEOG(?:CS|CRS)\\[\"(?:GCS_)?WGS[ _](?:19)?84\"", RegexOptions.IgnoreCase, 1000)]
    private static partial Regex PlainWgs84();
}
