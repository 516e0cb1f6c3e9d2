using System.Text;
using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class BoundaryFileTests : IDisposable
{
    // A square of 0.01° with a hole of 0.003° in the invented valley: reckoned with an independent program (cs2cs).
    private const double SquareWithHoleHectares = 122.0 * (1 - 0.09);

    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-boundaries-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Theory]
    [InlineData("a.geojson")]
    [InlineData("a.kml")]
    [InlineData("a.kmz")]
    [InlineData("a.shp")]
    public void Read_EveryKind_GivesTheSameBlock(string name)
    {
        BlockImportResult result = BlockImport.Read(
            BoundaryFile.Read(Write(name)),
            ReferenceSystem.Utm(18, north: false),
            []
        );
        Block north = result.Blocks[0];
        Assert.Equal("North", north.Name);
        Assert.Equal(SquareWithHoleHectares, north.AreaSquareMetres / 10_000, 0.3);
        Assert.Equal(1, ((NetTopologySuite.Geometries.Polygon)north.Boundary[0]).NumInteriorRings);
        Assert.Empty(result.Refused);
    }

    [Fact]
    public void Read_GeoPackageInUtm_KeepsItsMetres()
    {
        BlockImportResult result = BlockImport.Read(
            BoundaryFile.Read(Write("a.gpkg")),
            ReferenceSystem.Utm(18, north: false),
            []
        );
        Assert.Equal("North", result.Blocks[0].Name);
        Assert.Equal(960_000, result.Blocks[0].AreaSquareMetres, 0.001);
        Assert.Equal(["a.gpkg"], Directory.GetFiles(folder).Select(Path.GetFileName));
    }

    [Fact]
    public void Read_GeoJsonWithOldCrs_IsTakenAtItsWord()
    {
        string text = """
            {"type":"Feature","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::32718"}},"properties":{"nombre":"Uno"},
            "geometry":{"type":"Polygon","coordinates":[[[466000,9197000],[466100,9197000],[466100,9197100],[466000,9197100]]]}}
            """;
        BoundarySet set = GeoJsonBoundaries.Read(Encoding.UTF8.GetBytes(text), "x.geojson");
        BlockImportResult result = BlockImport.Read(set, ReferenceSystem.Utm(18, north: false), []);
        Assert.Equal("Uno", result.Blocks[0].Name);
        Assert.Equal(10_000, result.Blocks[0].AreaSquareMetres, 1e-6);
    }

    [Fact]
    public void Read_GeoJsonInMetresWithoutCrs_AsksForTheSystem()
    {
        string text = """{"type":"Polygon","coordinates":[[[466000,9197000],[466100,9197000],[466100,9197100]]]}""";
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            GeoJsonBoundaries.Read(Encoding.UTF8.GetBytes(text), "x.geojson")
        );
        Assert.Contains("does not say which system", problem.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("../../doc.kml")]
    [InlineData("/etc/doc.kml")]
    [InlineData("..\\doc.kml")]
    public void Read_KmzWhosePathsClimbOut_Refused(string entry)
    {
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            KmzBoundaries.Read(BoundarySpecimens.Kmz(entry), "x.kmz")
        );
        Assert.Contains("leads out of it", problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_ZipBomb_StopsAtTheLimit()
    {
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            KmzBoundaries.Read(BoundarySpecimens.ZipBomb(), "x.kmz")
        );
        Assert.Contains("unpacks to more than 64 MiB", problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_XmlBomb_Refused()
    {
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            KmlBoundaries.Read(Encoding.UTF8.GetBytes(BoundarySpecimens.XmlBomb), "x.kml")
        );
        Assert.StartsWith("x.kml:", problem.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("missing.kml", "does not exist")]
    [InlineData("notes.txt", "not an ending of a boundary file")]
    public void Read_NoSuchFileOrKind_SaysSo(string name, string words)
    {
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            BoundaryFile.Read(Path.Combine(folder, name))
        );
        Assert.Contains(words, problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_ShapefileWithoutPrj_AsksForIt()
    {
        string path = Write("a.shp");
        File.Delete(Path.ChangeExtension(path, ".prj"));
        InputProblemException problem = Assert.Throws<InputProblemException>(() => BoundaryFile.Read(path));
        Assert.Contains("no .prj beside it", problem.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("a.geojson")]
    [InlineData("a.kml")]
    [InlineData("a.kmz")]
    [InlineData("a.shp")]
    [InlineData("a.gpkg")]
    public void Read_CutShort_RefusedWithTheFilesName(string name)
    {
        string path = Write(name);
        byte[] bytes = File.ReadAllBytes(path);
        File.WriteAllBytes(path, bytes[..(bytes.Length * 2 / 3)]);
        InputProblemException problem = Assert.Throws<InputProblemException>(() => BoundaryFile.Read(path));
        Assert.Contains(name, problem.Message, StringComparison.Ordinal);
        Assert.Contains("damaged or cut short", problem.Message, StringComparison.Ordinal);
    }

    private string Write(string name)
    {
        string path = Path.Combine(folder, name);
        File.WriteAllBytes(
            path,
            Path.GetExtension(name) switch
            {
                ".geojson" => Encoding.UTF8.GetBytes(BoundarySpecimens.GeoJson),
                ".kml" => Encoding.UTF8.GetBytes(BoundarySpecimens.Kml),
                ".kmz" => BoundarySpecimens.Kmz(),
                ".shp" => BoundarySpecimens.Shapefile(),
                _ => BoundarySpecimens.GeoPackage(),
            }
        );
        if (name.EndsWith(".shp", StringComparison.Ordinal))
        {
            File.WriteAllBytes(Path.ChangeExtension(path, ".dbf"), BoundarySpecimens.Dbf());
            File.WriteAllText(Path.ChangeExtension(path, ".prj"), BoundarySpecimens.Wgs84Prj);
        }

        return path;
    }
}
