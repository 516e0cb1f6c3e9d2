using System.Diagnostics;
using System.Globalization;
using System.Text;
using Hillrow.Earth;
using Hillrow.Handover;
using Xunit;

namespace Hillrow.Estate.Tests;

/// <summary>Judge: GDAL/OGR (ogr2ogr), which knows nothing of us, reads the exported GeoPackage back.</summary>
public sealed class GeoPackageLayers_GdalTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-export-").FullName;

    private static readonly Layer Places = new(
        "plants",
        "places",
        LayerKind.Places,
        ReferenceSystem.Utm(18, north: false),
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
        ReferenceSystem.Utm(18, north: false),
        [new("name", "name", LayerValue.Text)],
        [
            new(
                new AreaShape([new GridPolygon(Square(447_500, 8_426_000, 100), [Square(447_520, 8_426_020, 20)])]),
                ["Ladera"]
            ),
        ]
    );

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Write_PlacesAndAreas_AreReadBackEqual()
    {
        string path = Path.Combine(folder, "export.gpkg");
        GeoPackageLayers.Write(path, [Places, Areas], new DateOnly(2026, 8, 23));
        string? places = Ogr(path, "plants");
        Assert.SkipWhen(places is null, "ogr2ogr is not on this machine");
        string[] rows = places.Split('\n', StringSplitOptions.RemoveEmptyEntries);
        Assert.Equal(3, rows.Length);
        Assert.Contains("POINT (447553.25 8426024.5)", rows[1], StringComparison.Ordinal);
        Assert.Contains("Peñón", rows[1], StringComparison.Ordinal);
        Assert.Contains("-3.25", rows[1], StringComparison.Ordinal);
        Assert.Contains("POINT (447600.125 8426001", rows[2], StringComparison.Ordinal);
        Assert.Contains("12345", rows[2], StringComparison.Ordinal);
        Assert.Contains("Cumbre", rows[2], StringComparison.Ordinal);
        string areas = Ogr(path, "blocks", "-dialect", "SQLite", "-sql", "SELECT ST_Area(geom) AS area FROM blocks")!;
        double area = double.Parse(areas.Split('\n')[1].Split(',')[0].Trim('"'), CultureInfo.InvariantCulture);
        Assert.Equal(10_000 - 400, area, 1e-6);
    }

    private static GridPoint[] Square(double west, double south, double side) =>
        [new(west, south), new(west + side, south), new(west + side, south + side), new(west, south + side)];

    private static string? Ogr(string path, string layer, params string[] more)
    {
        string[] choice = more.Length > 0 ? more : ["-lco", "GEOMETRY=AS_WKT", "-lco", "SEPARATOR=TAB"];
        try
        {
            using Process process = Process.Start(
                new ProcessStartInfo(
                    "ogr2ogr",
                    ["-f", "CSV", "/vsistdout/", .. choice, path, .. more.Length > 0 ? (string[])[] : [layer]]
                )
                {
                    UseShellExecute = false,
                    RedirectStandardOutput = true,
                    StandardOutputEncoding = Encoding.UTF8,
                }
            )!;
            string text = process.StandardOutput.ReadToEnd();
            process.WaitForExit();
            return text;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return null;
        }
    }
}
