using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Mapping.Tests;

public sealed class BroughtMapTests : IDisposable
{
    private static readonly ReferenceSystem Zone18 = ReferenceSystem.Utm(18, north: false);
    private static readonly ReferenceSystem Zone17 = ReferenceSystem.Utm(17, north: false);
    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-brought-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Warp_SameSystem_KeepsThePixelsAsTheyAre()
    {
        Raster<float> raster = Filled(Zone18, 500_000.137, 9_200_000.071, 0.11, 70, 90, (e, n) => (e * 7) + n);
        using RasterFile file = Stored(raster);
        GridWarp warp = new(file, Zone18);
        Assert.True(warp.IsCopy);
        Assert.Equal(raster.Grid, warp.Grid);
        float[] back = new float[70 * 90];
        warp.Read(warp.Grid, new RasterWindow(0, 0, 70, 90), [0], back);
        Assert.Equal(raster.Band(0).ToArray(), back);
    }

    [Fact]
    public void Warp_NeighbouringZone_PutsEveryValueInItsPlace()
    {
        // The zones' common edge, where one is turned against the other; the values are the places in zone 18 itself.
        GridPoint at = Zone17.ToGrid(GeographicPoint.FromDegrees(-7.25, -78.02));
        Raster<double> east = new(
            RasterLabel.OfOneBand(new GridGeometry(Zone17, at, 0.5, 160, 200), "easting"),
            [new double[160 * 200]]
        );
        for (int row = 0; row < 160; row++)
        {
            for (int column = 0; column < 200; column++)
            {
                GridPoint place = Zone18.ToGrid(Zone17.ToWgs84(east.Grid.CentreOf(row, column)));
                // Small numbers: a float of 24 bits must hold hundredths of a millimetre.
                east[0, row, column] = place.EastingMetres - Zone18.ToGrid(Zone17.ToWgs84(at)).EastingMetres;
            }
        }

        string path = Path.Combine(folder, "east.tif");
        Cog.Write(path, east);
        using RasterFile file = RasterFile.Open(path);
        GridWarp warp = new(file, Zone18);
        Assert.False(warp.IsCopy);
        Assert.Equal(0.5, warp.Grid.CellSizeMetres, 0.02);
        RasterWindow window = new(37, 21, 90, 101);
        float[] values = new float[window.CellCount];
        warp.Read(warp.Grid, window, [0], values);
        double origin = Zone18.ToGrid(Zone17.ToWgs84(at)).EastingMetres;
        int known = 0;
        for (int cell = 0; cell < values.Length; cell++)
        {
            GridPoint centre = warp.Grid.CentreOf(37 + (cell / 101), 21 + (cell % 101));
            if (!float.IsNaN(values[cell]))
            {
                known++;
                // The outermost half pixel repeats the edge's own value.
                Assert.Equal(centre.EastingMetres - origin, values[cell], 0.26);
            }
        }

        Assert.True(known > 8000, $"{known} cells of {values.Length}");
        double[] inner =
        [
            .. Enumerable
                .Range(0, values.Length)
                .Where(cell => cell / 101 is > 20 and < 70 && cell % 101 is > 20 and < 80)
                .Select(cell =>
                    values[cell] - (warp.Grid.CentreOf(37 + (cell / 101), 21 + (cell % 101)).EastingMetres - origin)
                ),
        ];
        Assert.All(inner, off => Assert.Equal(0, off, 0.0005));
    }

    [Fact]
    public void Warp_HoleInTheSource_StaysAHoleAndDoesNotGrow()
    {
        Raster<float> raster = Filled(Zone17, 790_000, 9_200_000, 0.5, 60, 60, (_, _) => 5);
        for (int row = 20; row < 30; row++)
        {
            raster.Row(0, row)[25..35].Fill(float.NaN);
        }

        using RasterFile file = Stored(raster);
        GridWarp warp = new(file, Zone18);
        float[] values = new float[warp.Grid.CellCount];
        warp.Read(warp.Grid, new RasterWindow(0, 0, warp.Grid.Rows, warp.Grid.Columns), [0], values);
        Assert.All(values.Where(value => !float.IsNaN(value)), value => Assert.Equal(5f, value, 1e-5f));
        double covered = values.Count(value => !float.IsNaN(value)) * Math.Pow(warp.Grid.CellSizeMetres, 2);
        Assert.Equal((3600 - 100) * 0.25, covered, 12.0);
    }

    [Fact]
    public void Write_EightBitWithMaskAndBlackRim_MarksBothMissingAndScalesTheRest()
    {
        GridGeometry grid = new(Zone18, new GridPoint(500_000, 9_200_000), 0.1, 30, 40);
        Raster<byte> picture = new(
            new RasterLabel(grid, [new("a"), new("b"), new("c")]),
            [Plane(30 * 40, 51), Plane(30 * 40, 204), Plane(30 * 40, 255)]
        );
        picture[2, 3, 4] = 0;
        picture[0, 7, 8] = 0;
        picture[1, 7, 8] = 0;
        picture[0, 9, 9] = 0;
        string path = Path.Combine(folder, "picture.tif");
        Cog.Write(path, picture);
        using RasterFile file = RasterFile.Open(path);
        string map = Path.Combine(folder, "map.tif");
        BroughtMapResult result = BroughtMap.Write(
            file,
            new BroughtBands(["red", "nir", BroughtBands.Mask], null),
            Zone18,
            map,
            2,
            TestContext.Current.CancellationToken
        );
        Assert.Equal((30 * 40) - 2, result.CellsMapped);
        Assert.False(result.Resampled);
        using RasterFile back = RasterFile.Open(map);
        Assert.Equal(["red", "nir"], back.Bands.Select(band => band.Name));
        float[] red = new float[30 * 40];
        back.ReadTrueValues(0, 0, new RasterWindow(0, 0, 30, 40), red);
        Assert.True(float.IsNaN(red[(3 * 40) + 4]));
        Assert.True(float.IsNaN(red[(7 * 40) + 8]));
        Assert.Equal(0, red[(9 * 40) + 9]);
        Assert.Equal(0.2, red[0], 4);
    }

    [Fact]
    public void Write_ReflectanceInTenThousands_BecomesReflectance()
    {
        GridGeometry grid = new(Zone18, new GridPoint(500_000, 9_200_000), 0.1, 20, 20);
        Raster<ushort> stored = new(
            new RasterLabel(grid, [new("x"), new("y")]) { NoData = 0 },
            [
                [.. Enumerable.Repeat((ushort)412, 400)],
                [.. Enumerable.Repeat((ushort)4300, 400)],
            ]
        );
        string path = Path.Combine(folder, "scaled.tif");
        Cog.Write(path, stored);
        using RasterFile file = RasterFile.Open(path);
        string map = Path.Combine(folder, "map.tif");
        BroughtMap.Write(
            file,
            new BroughtBands(["red", "nir"], 10_000),
            Zone18,
            map,
            1,
            TestContext.Current.CancellationToken
        );
        using RasterFile back = RasterFile.Open(map);
        float[] nir = new float[400];
        back.ReadTrueValues(0, 1, new RasterWindow(0, 0, 20, 20), nir);
        Assert.All(nir, value => Assert.Equal(0.43f, value, 2e-5f));
    }

    [Theory]
    [InlineData("red", "nir")]
    [InlineData("red", "red", "nir")]
    [InlineData("mask", "-", "-")]
    public void CheckBands_WrongWords_SaysWhichBandsThereAre(params string[] words)
    {
        Raster<byte> picture = new(
            new RasterLabel(
                new GridGeometry(Zone18, new GridPoint(500_000, 9_200_000), 0.1, 4, 4),
                [new("a"), new("b"), new("c")]
            )
        );
        string path = Path.Combine(folder, "bands.tif");
        Cog.Write(path, picture);
        using RasterFile file = RasterFile.Open(path);
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            BroughtMap.CheckBands(file, new BroughtBands(words, null))
        );
        Assert.Contains(string.Join(",", words), problem.Message, StringComparison.Ordinal);
    }

    private static byte[] Plane(int cells, byte value) => [.. Enumerable.Repeat(value, cells)];

    private RasterFile Stored(Raster<float> raster)
    {
        string path = Path.Combine(folder, "source.tif");
        Cog.Write(path, raster);
        return RasterFile.Open(path);
    }

    private static Raster<float> Filled(
        ReferenceSystem system,
        double west,
        double north,
        double cell,
        int rows,
        int columns,
        Func<double, double, double> value
    )
    {
        Raster<float> raster = new(
            RasterLabel.OfOneBand(new GridGeometry(system, new GridPoint(west, north), cell, rows, columns), "value")
        );
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                raster[0, row, column] = (float)value(column * cell, row * cell);
            }
        }

        return raster;
    }
}
