using System.Buffers.Binary;
using System.IO.Compression;
using System.Text;
using Hillrow.Earth;
using Hillrow.Estate;
using Microsoft.Data.Sqlite;
using NetTopologySuite.Geometries;

namespace Hillrow.TestSupport;

/// <summary>Small good boundary files of every kind, and bad ones, made here so that nothing is taken from anywhere.</summary>
public static class BoundarySpecimens
{
    /// <summary>A square with a square hole, longitude and latitude, in the invented valley.</summary>
    public const string GeoJson = """
        {"type":"FeatureCollection","features":[
        {"type":"Feature","properties":{"name":"North","crop":"coffee","planted":"2015-03-01"},"geometry":{"type":"Polygon","coordinates":[
        [[-75.300,-7.260],[-75.290,-7.260],[-75.290,-7.250],[-75.300,-7.250],[-75.300,-7.260]],
        [[-75.297,-7.257],[-75.297,-7.254],[-75.294,-7.254],[-75.294,-7.257],[-75.297,-7.257]]]}},
        {"type":"Feature","properties":{"name":"South"},"geometry":{"type":"MultiPolygon","coordinates":[
        [[[-75.300,-7.280],[-75.290,-7.280],[-75.290,-7.270],[-75.300,-7.280]]],
        [[[-75.280,-7.280],[-75.270,-7.280],[-75.270,-7.270],[-75.280,-7.280]]]]}}]}
        """;

    public const string Kml = """
        <?xml version="1.0" encoding="UTF-8"?>
        <kml xmlns="http://www.opengis.net/kml/2.3"><Document><Folder><Placemark><name>North</name>
        <ExtendedData><Data name="crop"><value>coffee</value></Data></ExtendedData>
        <Polygon><outerBoundaryIs><LinearRing><coordinates>
        -75.300,-7.260,0 -75.290,-7.260,0 -75.290,-7.250,0 -75.300,-7.250,0 -75.300,-7.260,0
        </coordinates></LinearRing></outerBoundaryIs><innerBoundaryIs><LinearRing><coordinates>
        -75.297,-7.257 -75.297,-7.254 -75.294,-7.254 -75.294,-7.257 -75.297,-7.257
        </coordinates></LinearRing></innerBoundaryIs></Polygon></Placemark>
        <Placemark><name>The gate</name><Point><coordinates>-75.3,-7.2</coordinates></Point></Placemark>
        </Folder></Document></kml>
        """;

    /// <summary>Entities that grow a thousand-fold at every level.</summary>
    public const string XmlBomb = """
        <?xml version="1.0"?><!DOCTYPE kml [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">
        <!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;"><!ENTITY d "&c;&c;&c;&c;&c;&c;&c;&c;&c;&c;">]>
        <kml><Placemark><name>&d;</name></Placemark></kml>
        """;

    public static byte[] Kmz(string entry = "doc.kml", string text = Kml) => Kmz((entry, Encoding.UTF8.GetBytes(text)));

    public static byte[] Kmz(params (string Name, byte[] Bytes)[] entries)
    {
        using MemoryStream stream = new();
        using (ZipArchive archive = new(stream, ZipArchiveMode.Create, leaveOpen: true))
        {
            foreach ((string name, byte[] bytes) in entries)
            {
                ZipArchiveEntry entry = archive.CreateEntry(name, CompressionLevel.SmallestSize);
                entry.LastWriteTime = new DateTimeOffset(2026, 1, 1, 0, 0, 0, TimeSpan.Zero);
                using Stream target = entry.Open();
                target.Write(bytes);
            }
        }

        return stream.ToArray();
    }

    /// <summary>A hundred megabytes of blanks in a few kilobytes.</summary>
    public static byte[] ZipBomb()
    {
        byte[] blanks = new byte[100 << 20];
        Array.Fill(blanks, (byte)' ');
        return Kmz(("doc.kml", blanks));
    }

    /// <summary>A shapefile's .shp: outline clockwise, hole counter-clockwise, longitude and latitude.</summary>
    public static byte[] Shapefile()
    {
        double[][] rings =
        [
            [-75.300, -7.260, -75.300, -7.250, -75.290, -7.250, -75.290, -7.260, -75.300, -7.260],
            [-75.297, -7.257, -75.294, -7.257, -75.294, -7.254, -75.297, -7.254, -75.297, -7.257],
        ];
        int points = rings.Sum(ring => ring.Length / 2);
        byte[] content = new byte[44 + (rings.Length * 4) + (points * 16)];
        BinaryPrimitives.WriteInt32LittleEndian(content, 5);
        double[] box = [-75.3, -7.26, -75.29, -7.25];
        for (int i = 0; i < 4; i++)
        {
            BinaryPrimitives.WriteDoubleLittleEndian(content.AsSpan(4 + (i * 8)), box[i]);
        }

        BinaryPrimitives.WriteInt32LittleEndian(content.AsSpan(36), rings.Length);
        BinaryPrimitives.WriteInt32LittleEndian(content.AsSpan(40), points);
        int at = 44 + (rings.Length * 4);
        int first = 0;
        for (int ring = 0; ring < rings.Length; ring++)
        {
            BinaryPrimitives.WriteInt32LittleEndian(content.AsSpan(44 + (ring * 4)), first);
            foreach (double value in rings[ring])
            {
                BinaryPrimitives.WriteDoubleLittleEndian(content.AsSpan(at), value);
                at += 8;
            }

            first += rings[ring].Length / 2;
        }

        byte[] file = new byte[100 + 8 + content.Length];
        BinaryPrimitives.WriteInt32BigEndian(file, 9994);
        BinaryPrimitives.WriteInt32BigEndian(file.AsSpan(24), file.Length / 2);
        BinaryPrimitives.WriteInt32LittleEndian(file.AsSpan(28), 1000);
        BinaryPrimitives.WriteInt32LittleEndian(file.AsSpan(32), 5);
        BinaryPrimitives.WriteInt32BigEndian(file.AsSpan(100), 1);
        BinaryPrimitives.WriteInt32BigEndian(file.AsSpan(104), content.Length / 2);
        content.CopyTo(file, 108);
        return file;
    }

    public static byte[] Dbf()
    {
        byte[] file = new byte[32 + 32 + 1 + 11];
        file[0] = 3;
        BinaryPrimitives.WriteUInt32LittleEndian(file.AsSpan(4), 1);
        BinaryPrimitives.WriteUInt16LittleEndian(file.AsSpan(8), 65);
        BinaryPrimitives.WriteUInt16LittleEndian(file.AsSpan(10), 11);
        "NAME"u8.CopyTo(file.AsSpan(32));
        file[32 + 11] = (byte)'C';
        file[32 + 16] = 10;
        file[64] = 0x0D;
        " North     "u8.CopyTo(file.AsSpan(65));
        return file;
    }

    public const string Wgs84Prj =
        "GEOGCS[\"GCS_WGS_1984\",DATUM[\"D_WGS_1984\",SPHEROID[\"WGS_1984\",6378137.0,298.257223563]],PRIMEM[\"Greenwich\",0.0],UNIT[\"Degree\",0.0174532925199433]]";

    /// <summary>A GeoPackage of one layer in UTM 18S with a square with a hole, written by our own schema.</summary>
    public static byte[] GeoPackage()
    {
        string path = Path.Combine(Directory.CreateTempSubdirectory("hillrow-gpkg-").FullName, "made.gpkg");
        ReferenceSystem system = ReferenceSystem.Utm(18, north: false);
        using (SqliteConnection connection = GeoPackageConnection.Open(path, SqliteOpenMode.ReadWriteCreate))
        {
            GeoPackageSchema.Create(connection, system);
            GeoPackageSchema.AddLayer(
                connection,
                "lots",
                "lote TEXT",
                "POLYGON",
                system.EpsgCode,
                "lots",
                new DateTimeOffset(2026, 1, 1, 0, 0, 0, TimeSpan.Zero)
            );
            Polygon square = new(
                new LinearRing([
                    new(466_000, 9_197_000),
                    new(467_000, 9_197_000),
                    new(467_000, 9_198_000),
                    new(466_000, 9_198_000),
                    new(466_000, 9_197_000),
                ]),
                [
                    new LinearRing([
                        new(466_400, 9_197_400),
                        new(466_400, 9_197_600),
                        new(466_600, 9_197_600),
                        new(466_600, 9_197_400),
                        new(466_400, 9_197_400),
                    ]),
                ]
            );
            GeoPackageConnection.Execute(
                connection,
                "INSERT INTO lots (geom, lote) VALUES ($geom, 'North')",
                ("$geom", GeometryBlob.Write(square, system.EpsgCode))
            );
        }

        byte[] bytes = File.ReadAllBytes(path);
        Directory.Delete(Path.GetDirectoryName(path)!, recursive: true);
        return bytes;
    }
}
