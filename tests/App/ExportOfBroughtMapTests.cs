using Hillrow.Earth;
using Hillrow.Imaging;
using Xunit;

namespace Hillrow.App.Tests;

/// <summary>A survey that was brought as a map with heights, without any camera, goes out to a GIS like any other.</summary>
public sealed class ExportOfBroughtMapTests : IDisposable
{
    private const int Cells = 120;
    private const double CellMetres = 0.25;
    private const double SpacingMetres = 3;
    private const float PlantMetres = 2;
    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-export-").FullName;

    public void Dispose()
    {
        foreach (string file in Directory.EnumerateFiles(folder, "*", SearchOption.AllDirectories))
        {
            File.SetAttributes(file, FileAttributes.Normal);
        }

        Directory.Delete(folder, recursive: true);
    }

    [Fact]
    public void MapAndHeights_AreAmongTheFiles()
    {
        string estate = Path.Combine(folder, "estate");
        GridGeometry grid = new(
            ReferenceSystem.Utm(18, north: false),
            new GridPoint(467_000, 9_198_000),
            CellMetres,
            Cells,
            Cells
        );
        bool[] plant = [.. Enumerable.Range(0, Cells * Cells).Select(IsPlant)];
        Write(
            "map.tif",
            grid,
            ("red", [.. plant.Select(green => green ? 0.04f : 0.20f)]),
            ("nir", [.. plant.Select(green => green ? 0.45f : 0.25f)])
        );
        Write("surface.tif", grid, ("height", [.. plant.Select(green => green ? 500 + PlantMetres : 500f)]));
        Write("ground.tif", grid, ("height", [.. plant.Select(_ => 500f)]));
        Must("new", estate, "--name", "Vale", "--zone", "18S");
        Must([
            "block",
            "add",
            estate,
            "Low",
            .. new[] { (1, 1), (1, Cells - 1), (Cells - 1, Cells - 1), (Cells - 1, 1) }
                .Select(corner => grid.ReferenceSystem.ToWgs84(grid.CentreOf(corner.Item1, corner.Item2)))
                .SelectMany(at =>
                    new[]
                    {
                        "--corner",
                        FormattableString.Invariant($"{at.Latitude.Degrees:F8},{at.Longitude.Degrees:F8}"),
                    }
                ),
        ]);
        Must(
            "survey",
            "add",
            estate,
            "--map",
            Path.Combine(folder, "map.tif"),
            "--bands",
            "red,nir",
            "--surface",
            Path.Combine(folder, "surface.tif"),
            "--ground",
            Path.Combine(folder, "ground.tif"),
            "--date",
            "2026-03-14"
        );
        Must("run", estate);
        string into = Path.Combine(folder, "out");
        Must("export", estate, "--to", into);
        foreach (string name in new[] { "reflectance.tif", "ndvi.tif", "canopy.tif", "plants.csv", "item.json" })
        {
            Assert.True(File.Exists(Path.Combine(into, name)), name);
        }

        using RasterFile canopy = RasterFile.Open(Path.Combine(into, "canopy.tif"));
        float[] heights = new float[Cells * Cells];
        canopy.ReadTrueValues(0, 0, new RasterWindow(0, 0, Cells, Cells), heights);
        Assert.Equal(PlantMetres, heights.Max(), 0.01);
    }

    private static bool IsPlant(int cell)
    {
        double x = Off((cell % Cells) * CellMetres);
        double y = Off((cell / Cells) * CellMetres);
        return (x * x) + (y * y) < 0.9 * 0.9;
        static double Off(double at) => (at % SpacingMetres) - (SpacingMetres / 2);
    }

    private void Write(string name, GridGeometry grid, params (string Name, float[] Values)[] bands) =>
        Cog.Write(
            Path.Combine(folder, name),
            new Raster<float>(
                new RasterLabel(grid, [.. bands.Select(band => new BandLabel(band.Name))]),
                [.. bands.Select(band => band.Values)]
            )
        );

    private static void Must(params string[] arguments)
    {
        using StringWriter output = new();
        using StringWriter error = new();
        int code = CommandLine.Run(arguments, output, error, TestContext.Current.CancellationToken);
        Assert.True(code == 0, $"{string.Join(' ', arguments)}: {error}");
    }
}
