using System.Text;
using Hillrow.Estate;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground;

/// <summary>Block outlines from GeoJSON.</summary>
public sealed class GeoJsonBoundaryReader : ReaderUnderMutation
{
    public override string Name => "GeoJSON outlines";

    public override IReadOnlyList<SampleFile> Seeds() =>
        [new("blocks.geojson", Encoding.UTF8.GetBytes(BoundarySpecimens.GeoJson))];

    public override IReadOnlyList<SampleFile> BadFiles() =>
        [
            new("deep.geojson", Encoding.UTF8.GetBytes(new string('[', 100_000))),
            new("not-geo.geojson", "{\"a\":1}"u8.ToArray()),
            new("far.geojson", Encoding.UTF8.GetBytes(BoundarySpecimens.GeoJson.Replace("-75.300", "1e300"))),
        ];

    public override void Read(byte[] bytes, string path) => GeoJsonBoundaries.Read(bytes, path);
}

/// <summary>Block outlines from KML.</summary>
public sealed class KmlBoundaryReader : ReaderUnderMutation
{
    public override string Name => "KML outlines";

    public override IReadOnlyList<SampleFile> Seeds() =>
        [new("blocks.kml", Encoding.UTF8.GetBytes(BoundarySpecimens.Kml))];

    public override IReadOnlyList<SampleFile> BadFiles() =>
        [
            new("bomb.kml", Encoding.UTF8.GetBytes(BoundarySpecimens.XmlBomb)),
            new(
                "outside.kml",
                "<?xml version=\"1.0\"?><!DOCTYPE kml [<!ENTITY x SYSTEM \"file:///etc/passwd\">]><kml><name>&x;</name></kml>"u8.ToArray()
            ),
            new("not-kml.kml", "<gpx/>"u8.ToArray()),
            new("nowhere.kml", Encoding.UTF8.GetBytes(BoundarySpecimens.Kml.Replace("-7.260,0", "-97.26,0"))),
        ];

    public override void Read(byte[] bytes, string path) => KmlBoundaries.Read(bytes, path);
}

/// <summary>Block outlines from KMZ.</summary>
public sealed class KmzBoundaryReader : ReaderUnderMutation
{
    public override string Name => "KMZ outlines";

    public override IReadOnlyList<SampleFile> Seeds() => [new("blocks.kmz", BoundarySpecimens.Kmz())];

    public override IReadOnlyList<SampleFile> BadFiles() =>
        [
            new("slip.kmz", BoundarySpecimens.Kmz("../../doc.kml")),
            new("slip-backwards.kmz", BoundarySpecimens.Kmz("..\\doc.kml")),
            new("absolute.kmz", BoundarySpecimens.Kmz("/etc/doc.kml")),
            new("zip-bomb.kmz", BoundarySpecimens.ZipBomb()),
            new("xml-bomb.kmz", BoundarySpecimens.Kmz("doc.kml", BoundarySpecimens.XmlBomb)),
            new("no-kml.kmz", BoundarySpecimens.Kmz("readme.txt")),
        ];

    public override void Read(byte[] bytes, string path) => KmzBoundaries.Read(bytes, path);
}

/// <summary>Block outlines from a shapefile.</summary>
public sealed class ShapefileBoundaryReader : ReaderUnderMutation
{
    public override string Name => "shapefile outlines";

    public override bool NeedsFile => true;

    public override IReadOnlyList<SampleFile> Seeds() => [new("blocks.shp", BoundarySpecimens.Shapefile())];

    public override IReadOnlyList<SampleFile> BadFiles() =>
        [
            new("points.shp", Changed(32, 1)),
            new("absurd-points.shp", Changed(108 + 40, 255)),
            new("absurd-length.shp", Changed(104, 127)),
        ];

    public override void Read(byte[] bytes, string path)
    {
        File.WriteAllBytes(Path.ChangeExtension(path, ".dbf"), BoundarySpecimens.Dbf());
        File.WriteAllText(Path.ChangeExtension(path, ".prj"), BoundarySpecimens.Wgs84Prj);
        ShapefileBoundaries.Read(bytes, path);
    }

    private static byte[] Changed(int at, byte value)
    {
        byte[] bytes = BoundarySpecimens.Shapefile();
        bytes[at] = value;
        bytes[at + 2] = value;
        return bytes;
    }
}

/// <summary>The attribute table beside a shapefile.</summary>
public sealed class DbfTableReader : ReaderUnderMutation
{
    public override string Name => "shapefile attribute tables";

    public override IReadOnlyList<SampleFile> Seeds() => [new("blocks.dbf", BoundarySpecimens.Dbf())];

    public override void Read(byte[] bytes, string path) => DbfTable.Read(bytes, path);
}

/// <summary>Block outlines from a GeoPackage.</summary>
public sealed class GeoPackageBoundaryReader : ReaderUnderMutation
{
    public override string Name => "GeoPackage outlines";

    public override bool NeedsFile => true;

    public override IReadOnlyList<SampleFile> Seeds() => [new("blocks.gpkg", BoundarySpecimens.GeoPackage())];

    public override void Read(byte[] bytes, string path) => GeoPackageBoundaries.Read(path, layer: null);
}

/// <summary>estate.toml.</summary>
public sealed class EstateTomlReader : ReaderUnderMutation
{
    public override string Name => "estate.toml";

    public override bool RefusesHalf => false;

    public override IReadOnlyList<SampleFile> Seeds() =>
        [
            new(
                "estate.toml",
                Encoding.UTF8.GetBytes(
                    EstateToml.Write(
                        EstateSettings.Plain("Vale", Earth.ReferenceSystem.Utm(18, north: false), Language.English)
                    )
                )
            ),
        ];

    public override IReadOnlyList<SampleFile> BadFiles() =>
        [new("unknown-key.toml", "name = \"a\"\nreference_system = \"18S\"\nlangage = \"en\""u8.ToArray())];

    public override void Read(byte[] bytes, string path) => EstateToml.Parse(Encoding.UTF8.GetString(bytes), path);
}
