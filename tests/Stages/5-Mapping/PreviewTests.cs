using System.Diagnostics;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping.Checks;
using Xunit;

namespace Hillrow.Mapping.Tests;

public sealed class PreviewTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("preview-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    private string WriteMap(int rows, int columns)
    {
        GridGeometry grid = new(new ReferenceSystem(32723), new GridPoint(500000, 8400000), 0.1, rows, columns);
        Raster<ushort> raster = new(
            new RasterLabel(
                grid,
                [.. IndexChecks.FiveBands.Select(band => new BandLabel(band.Name, "", ReflectanceCode.Scale))]
            )
            {
                NoData = ReflectanceCode.Missing,
            }
        );
        for (int band = 0; band < 5; band++)
        {
            for (int row = 0; row < rows; row++)
            {
                for (int column = 0; column < columns; column++)
                {
                    raster[band, row, column] =
                        row < 8
                            ? ReflectanceCode.Missing
                            : ReflectanceCode.Encode(0.05f + (0.1f * band * column / columns));
                }
            }
        }

        string path = Path.Combine(folder, "map.tif");
        Cog.Write(path, raster);
        return path;
    }

    [Fact]
    public void Index_Map_GivesPictureOfRightPlaceAndColours()
    {
        using RasterFile map = RasterFile.Open(WriteMap(600, 1000));
        IndexFormula ndvi = IndexCatalogue.FormulaOf("ndvi", IndexMap.BandsOf(map));
        PreviewPicture picture = MapPreview.Index(map, "NDVI", ndvi, ColourRamp.Cividis, 500, (0, 0.5));
        Assert.Equal(500, picture.Grid.Columns);
        Assert.Equal(0.2, picture.Grid.CellSizeMetres, 9);
        Assert.Equal([0, 0.1, 0.2, 0.3, 0.4, 0.5], picture.Legend.Ticks);
        byte[] rgba = Decode(picture);
        Assert.Equal(0, rgba[3]); // the first rows have no data
        int at = 4 * ((200 * 500) + 250);
        float[] value = new float[1];
        IndexMap.Read(map, ndvi, 1, new RasterWindow(200, 250, 1, 1), value);
        (byte red, byte green, byte blue) = ColourRamp.Cividis.At(value[0] / 0.5);
        Assert.InRange(rgba[at] - red, -2, 2);
        Assert.InRange(rgba[at + 1] - green, -2, 2);
        Assert.InRange(rgba[at + 2] - blue, -2, 2);
        Assert.Equal(255, rgba[at + 3]);
    }

    [Fact]
    public void Composite_Map_TellsItsStretch()
    {
        using RasterFile map = RasterFile.Open(WriteMap(300, 400));
        PreviewPicture picture = MapPreview.Composite(map, "colour", [2, 1, 0], high: 0.25);
        Assert.Contains("0.25 full brightness", picture.Legend.Stretch, StringComparison.Ordinal);
        byte[] rgba = Decode(picture);
        int at = 4 * ((150 * 400) + 399);
        Assert.Equal(255, rgba[at]);
        Assert.True(rgba[at] > rgba[at + 1] && rgba[at + 1] > rgba[at + 2]);
    }

    [Fact]
    public void Write_Index_IsTheSameForAnyThreadsAndReadBack()
    {
        string map = WriteMap(700, 900);
        using RasterFile file = RasterFile.Open(map);
        IndexFormula formula = IndexCatalogue.FormulaOf("NDRE", IndexMap.BandsOf(file));
        string one = Path.Combine(folder, "one.tif");
        string two = Path.Combine(folder, "two.tif");
        IndexMap.Write(map, null, "NDRE", formula, one, threads: 1);
        IndexMap.Write(map, null, "NDRE", formula, two, threads: 2);
        Assert.Equal(File.ReadAllBytes(one), File.ReadAllBytes(two));
        Raster<float> written = RasterFile.ReadWhole<float>(one);
        Assert.True(float.IsNaN(written[0, 0, 0]));
        Assert.Equal((0.4f - 0.3f) / (0.1f + 0.7f), written[0, 300, 899], 3);
    }

    [Fact]
    public void Encode_Sigma_StaysWithinItsStep()
    {
        for (double sigma = 0.0001; sigma < 2; sigma *= 1.013)
        {
            Assert.InRange(SigmaCode.Decode(SigmaCode.Encode((float)sigma)) / sigma, 1 - 0.025, 1 + 0.025);
        }

        Assert.Equal(0, SigmaCode.Encode(float.NaN));
        Assert.Equal(255, SigmaCode.Encode(float.PositiveInfinity));
        Assert.Equal(1, SigmaCode.Encode(0));
    }

    /// <summary>Another program's reader judges the PNG: GDAL turns it into raw numbers.</summary>
    private byte[] Decode(PreviewPicture picture)
    {
        string png = Path.Combine(folder, "preview.png");
        string raw = Path.Combine(folder, "preview.raw");
        File.WriteAllBytes(png, picture.Png);
        ProcessStartInfo start = new("gdal_translate", ["-q", "-of", "ENVI", "-co", "INTERLEAVE=BIP", png, raw]);
        using Process process = Process.Start(start)!;
        process.WaitForExit();
        Assert.Equal(0, process.ExitCode);
        byte[] bytes = File.ReadAllBytes(raw);
        Assert.Equal(picture.Grid.Rows * picture.Grid.Columns * 4, bytes.Length);
        return bytes;
    }
}
