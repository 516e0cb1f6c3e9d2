using System.Diagnostics;
using System.Globalization;
using System.Text;
using System.Text.Json;
using Hillrow.Earth;
using Xunit;

namespace Hillrow.Handover.Tests;

/// <summary>Judge: GDAL/OGR (ogr2ogr), which knows nothing of us, reads every vector format back.</summary>
public sealed class Layer_GdalTests : IDisposable
{
    private static readonly ReferenceSystem System = ReferenceSystem.Utm(18, north: false);
    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-layers-").FullName;

    private static readonly Layer Places = new(
        "plants",
        "places",
        LayerKind.Places,
        System,
        [
            new("plant", "plant", LayerValue.Whole),
            new("block", "block", LayerValue.Text),
            new("departure", "departure", LayerValue.Real),
        ],
        [
            new(new PlaceShape(new GridPoint(447_553.25, 8_426_024.5)), [7L, "Peñón \"alto\", sur", -3.25]),
            new(new PlaceShape(new GridPoint(447_600.125, 8_426_001)), [12_345L, "Cumbre", null]),
        ]
    );

    private static readonly Layer Areas = new(
        "blocks",
        "areas",
        LayerKind.Areas,
        System,
        [new("name", "name", LayerValue.Text)],
        [
            new(
                new AreaShape([
                    new GridPolygon(Square(447_500, 8_426_000, 100), [Square(447_520, 8_426_020, 20)]),
                    new GridPolygon([.. Square(447_700, 8_426_000, 10).Reverse()]),
                ]),
                ["Ladera"]
            ),
        ]
    );

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Theory]
    [InlineData("shp")]
    [InlineData("geojson")]
    [InlineData("kml")]
    public void Write_Places_ReadBackEqual(string format)
    {
        List<string[]> rows = ReadBack(Places, format);
        Assert.Equal(2, rows.Count);
        for (int at = 0; at < rows.Count; at++)
        {
            GridPoint place = ((PlaceShape)Places.Features[at].Shape).Place;
            (double east, double north) = Point(rows[at][0]);
            Assert.Equal(place.EastingMetres, east, format == "shp" ? 1e-6 : 0.02);
            Assert.Equal(place.NorthingMetres, north, format == "shp" ? 1e-6 : 0.02);
        }

        string all = string.Join('\n', rows.Select(row => string.Join('\t', row)));
        Assert.Contains("Peñón", all, StringComparison.Ordinal);
        Assert.Contains("-3.25", all, StringComparison.Ordinal);
        Assert.Contains("12345", all, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("shp")]
    [InlineData("geojson")]
    [InlineData("kml")]
    public void Write_AreasWithHoles_KeepTheirArea(string format)
    {
        string text = Ogr(
            "-dialect",
            "SQLite",
            "-sql",
            $"SELECT ST_Area(ST_Transform(geometry, 32718)) AS area, ST_NumGeometries(geometry) AS parts FROM \"blocks\"",
            FileOf(Areas, format)
        );
        double area = double.Parse(text.Split('\n')[1].Split(',')[0].Trim('"'), CultureInfo.InvariantCulture);
        Assert.Equal(10_000 - 400 + 100, area, 1.0);
    }

    [Fact]
    public void Write_GeoJson_TurnsRingsAsRfc7946Asks()
    {
        using JsonDocument document = JsonDocument.Parse(File.ReadAllBytes(FileOf(Areas, "geojson")));
        JsonElement polygons = document
            .RootElement.GetProperty("features")[0]
            .GetProperty("geometry")
            .GetProperty("coordinates");
        Assert.True(TwiceArea(polygons[0][0]) > 0);
        Assert.True(TwiceArea(polygons[0][1]) < 0);
        Assert.True(TwiceArea(polygons[1][0]) > 0);
        Assert.Equal(polygons[0][0][0].ToString(), polygons[0][0][polygons[0][0].GetArrayLength() - 1].ToString());
    }

    private static double TwiceArea(JsonElement ring)
    {
        double[][] places =
        [
            .. ring.EnumerateArray()
                .Select(place => place.EnumerateArray().Select(value => value.GetDouble()).ToArray()),
        ];
        return places
            .Zip(places.Skip(1))
            .Sum(pair =>
                ((pair.First[0] - places[0][0]) * (pair.Second[1] - places[0][1]))
                - ((pair.Second[0] - places[0][0]) * (pair.First[1] - places[0][1]))
            );
    }

    private static GridPoint[] Square(double west, double south, double side) =>
        [new(west, south), new(west + side, south), new(west + side, south + side), new(west, south + side)];

    private List<string[]> ReadBack(Layer layer, string format)
    {
        string text = Ogr(
            "-lco",
            "GEOMETRY=AS_WKT",
            "-lco",
            "SEPARATOR=TAB",
            "-t_srs",
            "EPSG:32718",
            FileOf(layer, format)
        );
        return [.. text.Split('\n', StringSplitOptions.RemoveEmptyEntries).Skip(1).Select(line => line.Split('\t'))];
    }

    private string FileOf(Layer layer, string format)
    {
        string path = Path.Combine(folder, $"{layer.Name}.{format}");
        switch (format)
        {
            case "shp":
                ShapefileLayer.Write(
                    layer,
                    "PROJCS[\"WGS 84 / UTM zone 18S\",GEOGCS[\"WGS 84\",DATUM[\"WGS_1984\",SPHEROID[\"WGS 84\",6378137,298.257223563]],PRIMEM[\"Greenwich\",0],UNIT[\"degree\",0.0174532925199433]],PROJECTION[\"Transverse_Mercator\"],PARAMETER[\"latitude_of_origin\",0],PARAMETER[\"central_meridian\",-75],PARAMETER[\"scale_factor\",0.9996],PARAMETER[\"false_easting\",500000],PARAMETER[\"false_northing\",10000000],UNIT[\"metre\",1]]",
                    extension => File.Create(Path.Combine(folder, layer.Name + extension))
                );
                break;
            case "geojson":
                using (FileStream file = File.Create(path))
                {
                    GeoJsonLayer.Write(layer, file);
                }

                break;
            default:
                using (FileStream file = File.Create(path))
                {
                    KmlLayers.Write("test", [layer], file);
                }

                break;
        }

        return path;
    }

    private static (double East, double North) Point(string wkt)
    {
        string[] parts = wkt[(wkt.IndexOf('(', StringComparison.Ordinal) + 1)..^1].Trim('"', ')').Split(' ');
        return (
            double.Parse(parts[0], CultureInfo.InvariantCulture),
            double.Parse(parts[1], CultureInfo.InvariantCulture)
        );
    }

    /// <summary>CSV text of what OGR reads; the test is skipped where there is no OGR.</summary>
    private static string Ogr(params string[] arguments)
    {
        try
        {
            using Process process = Process.Start(
                new ProcessStartInfo("ogr2ogr", ["-f", "CSV", "/vsistdout/", .. arguments])
                {
                    UseShellExecute = false,
                    RedirectStandardOutput = true,
                    RedirectStandardError = true,
                    StandardOutputEncoding = Encoding.UTF8,
                }
            )!;
            Task<string> error = process.StandardError.ReadToEndAsync();
            string text = process.StandardOutput.ReadToEnd();
            process.WaitForExit();
            Assert.True(process.ExitCode == 0, error.Result);
            return text;
        }
        catch (global::System.ComponentModel.Win32Exception)
        {
            Assert.Skip("ogr2ogr is not on this machine");
            throw;
        }
    }
}
