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

    /// <summary>The well-known text of a .prj file or a GeoPackage, of any system that room Earth can use.</summary>
    public static ReferenceSystem FromWellKnownText(string text, string path) => WellKnownText.Read(text, path);

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
}
