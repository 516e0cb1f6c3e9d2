using System.Text;
using Hillrow.Earth;

namespace Hillrow.Validation.Ground;

/// <summary>Reference systems as well-known text, from .prj files and GeoPackages.</summary>
public sealed class WellKnownTextReader : ReaderUnderMutation
{
    private const string VersionOne =
        "PROJCS[\"WGS_1984_UTM_Zone_18S\",GEOGCS[\"GCS_WGS_1984\",DATUM[\"D_WGS_1984\",SPHEROID[\"WGS_1984\",6378137.0,298.257223563]],PRIMEM[\"Greenwich\",0.0],UNIT[\"Degree\",0.0174532925199433]],PROJECTION[\"Transverse_Mercator\"],PARAMETER[\"False_Easting\",500000.0],PARAMETER[\"False_Northing\",10000000.0],PARAMETER[\"Central_Meridian\",-75.0],PARAMETER[\"Scale_Factor\",0.9996],PARAMETER[\"Latitude_Of_Origin\",0.0],UNIT[\"Meter\",1.0]]";

    private const string VersionTwo =
        "PROJCRS[\"Own grid\",BASEGEOGCRS[\"WGS 84\",DATUM[\"World Geodetic System 1984\",ELLIPSOID[\"WGS 84\",6378137,298.257223563,LENGTHUNIT[\"metre\",1]]],PRIMEM[\"Greenwich\",0,ANGLEUNIT[\"degree\",0.0174532925199433]]],CONVERSION[\"own\",METHOD[\"Lambert Conic Conformal (2SP)\",ID[\"EPSG\",9802]],PARAMETER[\"Latitude of false origin\",4,ANGLEUNIT[\"degree\",0.0174532925199433]],PARAMETER[\"Longitude of false origin\",-73,ANGLEUNIT[\"degree\",0.0174532925199433]],PARAMETER[\"Latitude of 1st standard parallel\",2,ANGLEUNIT[\"degree\",0.0174532925199433]],PARAMETER[\"Latitude of 2nd standard parallel\",7,ANGLEUNIT[\"degree\",0.0174532925199433]],PARAMETER[\"Easting at false origin\",500000,LENGTHUNIT[\"metre\",1]],PARAMETER[\"Northing at false origin\",0,LENGTHUNIT[\"metre\",1]]],CS[Cartesian,2],AXIS[\"(E)\",east],AXIS[\"(N)\",north],LENGTHUNIT[\"metre\",1]]";

    public override string Name => "well-known text of reference systems";

    public override IReadOnlyList<SampleFile> Seeds() =>
        [new("north.prj", Encoding.UTF8.GetBytes(VersionOne)), new("north-2.prj", Encoding.UTF8.GetBytes(VersionTwo))];

    public override IReadOnlyList<SampleFile> BadFiles() =>
        [
            new("deep.prj", Encoding.UTF8.GetBytes(string.Concat(Enumerable.Repeat("GEOGCS[", 20000)))),
            new("long.prj", Encoding.UTF8.GetBytes($"GEOGCS[\"{new string('x', 300_000)}\"]")),
            new("local.prj", "LOCAL_CS[\"site\"]"u8.ToArray()),
        ];

    public override void Read(byte[] bytes, string path)
    {
        ReferenceSystem system = WellKnownText.Read(Encoding.UTF8.GetString(bytes), path);
        _ = system.IsProjected ? system.ToWgs84(new GridPoint(500000, 400000)).ToString() : system.ToString();
    }
}
