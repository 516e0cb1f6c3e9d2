using System.IO.Compression;
using System.Text;
using Hillrow.Earth;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Estate.Tests;

/// <summary>Files as people bring them: marked, wrapped, split, mirrored, or of the wrong kind.</summary>
public sealed class UsersFilesTests : IDisposable
{
    private const string Square =
        """{"type":"Feature","properties":{"name":"North"},"geometry":{"type":"Polygon","coordinates":[[[-75.3,-7.2],[-75.298,-7.2],[-75.298,-7.198],[-75.3,-7.2]]]}}""";

    private const string KmlSquare =
        "<kml><Placemark><name>North</name><Polygon><outerBoundaryIs><LinearRing><coordinates>-75.3,-7.2 -75.298,-7.2 -75.298,-7.198 -75.3,-7.2</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></kml>";

    private const string KmlLink = "<kml><NetworkLink><Link><href>layers/blocks.kml</href></Link></NetworkLink></kml>";

    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-users-files-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Theory]
    [InlineData("")]
    [InlineData("EFBBBF")]
    [InlineData("FFFE")]
    [InlineData("FEFF")]
    public void Read_GeoJsonWithByteOrderMark_IsReadAsWithout(string markInHex)
    {
        byte[] mark = Convert.FromHexString(markInHex);
        Encoding encoding = mark switch
        {
            [0xFF, ..] => Encoding.Unicode,
            [0xFE, ..] => Encoding.BigEndianUnicode,
            _ => new UTF8Encoding(false),
        };
        BoundarySet set = BoundaryFile.Read(Written("a.geojson", [.. mark, .. encoding.GetBytes(Square)]));
        Assert.Equal("North", Assert.Single(set.Boundaries).Attributes["name"]);
    }

    [Fact]
    public void Read_PageInsteadOfGeoJson_TellsTheLineInPlainWords() =>
        Refused("a.geojson", "\n  <html>Sign in</html>"u8.ToArray(), "stops being JSON at line 2, byte 3");

    [Fact]
    public void Read_KmzThatLinksToItsOwnLayers_ReadsThem()
    {
        BoundarySet set = BoundaryFile.Read(
            Written("a.kmz", Zip(("doc.kml", KmlLink), ("layers/blocks.kml", KmlSquare)))
        );
        Assert.Equal("layers/blocks.kml, placemark 1", Assert.Single(set.Boundaries).Where);
        Assert.Empty(set.Notes);
    }

    [Fact]
    public void Read_KmzWhoseFirstDocumentHasOutlines_LeavesTheOthersAlone() =>
        Assert.Single(
            BoundaryFile.Read(Written("a.kmz", Zip(("more.kml", KmlSquare), ("doc.kml", KmlSquare)))).Boundaries
        );

    [Fact]
    public void Read_KmzOfManyLargeDocuments_StopsAtTheLimitOfAllTogether()
    {
        string large = "<kml>" + new string(' ', 30 << 20) + "</kml>";
        Refused(
            "a.kmz",
            Zip(("doc.kml", KmlLink), ("b.kml", large), ("c.kml", large), ("d.kml", large)),
            "unpacks to more"
        );
    }

    [Fact]
    public void Read_KmlOfALinkOnly_SaysThatTheLinkWasNotRead() =>
        Refused("a.kml", Encoding.UTF8.GetBytes(KmlLink), "links to another file, which was not read");

    [Fact]
    public void Read_KmlNamedKmz_SaysThatItIsNoArchive() =>
        Refused("a.kmz", Encoding.UTF8.GetBytes(KmlSquare), "is no KMZ");

    [Fact]
    public void Read_PointOnly_NamesTheFirstThingLeftOut() =>
        Refused(
            "a.geojson",
            """{"type":"Feature","properties":{},"geometry":{"type":"Point","coordinates":[-75.3,-7.2]}}"""u8.ToArray(),
            "holds no polygon (feature 1: is a Point"
        );

    [Theory]
    [InlineData(1, "holds points")]
    [InlineData(23, "holds lines")]
    public void Read_ShapefileOfOtherShapes_SaysWhich(int kind, string told)
    {
        byte[] header = new byte[100];
        header[2] = 0x27;
        header[3] = 0x0A;
        header[27] = 50;
        header[28] = 0xE8;
        header[29] = 0x03;
        header[32] = (byte)kind;
        File.WriteAllText(Path.Combine(folder, "a.prj"), "");
        Refused("a.shp", header, told);
    }

    [Theory]
    [InlineData("a.zip", "Unpack it")]
    [InlineData("a.dbf", "Give the .shp")]
    public void Read_OtherFileOfTheSet_SaysWhichToGive(string name, string told) => Refused(name, [1], told);

    [Theory]
    [InlineData(true, -75.3, "latitude's other sign")]
    [InlineData(false, 75.3, "longitude's other sign")]
    public void Import_Mirrored_TellsWhichSign(bool north, double longitude, string told)
    {
        string text = Square
            .Replace("-75.3", FormattableString.Invariant($"{longitude}"), StringComparison.Ordinal)
            .Replace("-75.298", FormattableString.Invariant($"{longitude + 0.002}"), StringComparison.Ordinal);
        BlockImportResult result = BlockImport.Read(
            GeoJsonBoundaries.Read(Encoding.UTF8.GetBytes(text), "a.geojson"),
            ReferenceSystem.Utm(18, north),
            []
        );
        Assert.Contains(told, Assert.Single(result.Refused), StringComparison.Ordinal);
    }

    private void Refused(string name, byte[] bytes, string told)
    {
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            BoundaryFile.Read(Written(name, bytes))
        );
        Assert.Contains(told, problem.Message, StringComparison.Ordinal);
        Assert.Contains(name, problem.Message, StringComparison.Ordinal);
    }

    private string Written(string name, byte[] bytes)
    {
        string path = Path.Combine(folder, name);
        File.WriteAllBytes(path, bytes);
        return path;
    }

    private static byte[] Zip(params (string Name, string Text)[] files)
    {
        using MemoryStream whole = new();
        using (ZipArchive archive = new(whole, ZipArchiveMode.Create, leaveOpen: true))
        {
            foreach ((string name, string text) in files)
            {
                using Stream entry = archive.CreateEntry(name).Open();
                entry.Write(Encoding.UTF8.GetBytes(text));
            }
        }

        return whole.ToArray();
    }
}
