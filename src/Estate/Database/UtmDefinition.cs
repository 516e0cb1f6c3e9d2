using System.Globalization;
using Hillrow.Earth;

namespace Hillrow.Estate;

/// <summary>The well-known text that a GeoPackage stores for WGS 84 / UTM.</summary>
internal static class UtmDefinition
{
    public static string NameOf(ReferenceSystem system)
    {
        (int zone, bool north) = ZoneOf(system);
        return string.Create(CultureInfo.InvariantCulture, $"WGS 84 / UTM zone {zone}{(north ? 'N' : 'S')}");
    }

    /// <remarks>Form: OGC 01-009, clause 7; constants of the EPSG dataset's codes 32601 … 32760.</remarks>
    public static string TextOf(ReferenceSystem system)
    {
        (int zone, bool north) = ZoneOf(system);
        return string.Create(
            CultureInfo.InvariantCulture,
            $"""
            PROJCS["{NameOf(system)}",GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]],PROJECTION["Transverse_Mercator"],PARAMETER["latitude_of_origin",0],PARAMETER["central_meridian",{(
                zone * 6
            ) - 183}],PARAMETER["scale_factor",0.9996],PARAMETER["false_easting",500000],PARAMETER["false_northing",{(
                north ? 0 : 10000000
            )}],UNIT["metre",1,AUTHORITY["EPSG","9001"]],AXIS["Easting",EAST],AXIS["Northing",NORTH],AUTHORITY["EPSG","{system.EpsgCode}"]]
            """
        );
    }

    private static (int Zone, bool North) ZoneOf(ReferenceSystem system) =>
        system.EpsgCode is (>= 32601 and <= 32660) or (>= 32701 and <= 32760)
            ? (system.EpsgCode % 100, system.EpsgCode < 32700)
            : throw new ArgumentException($"{system} is not WGS 84 / UTM.", nameof(system));
}
