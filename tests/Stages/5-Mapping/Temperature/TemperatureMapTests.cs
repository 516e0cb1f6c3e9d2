using Hillrow.Earth;
using Hillrow.Imaging;
using Xunit;

namespace Hillrow.Mapping.Tests.Temperature;

public sealed class TemperatureMapTests : IDisposable
{
    private const int Rows = 600;
    private const int Columns = 530;
    private readonly string folder = Directory.CreateTempSubdirectory("temperature-").FullName;

    private static readonly GridGeometry Grid = new(
        ReferenceSystem.Find(32721)!,
        new GridPoint(500_000, 8_000_000),
        0.05,
        Rows,
        Columns
    );

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Coding_Temperature_IsReadInDegreesCelsius()
    {
        ValueCoding coding = ValueCoding.Temperature;
        ushort stored = coding.Encode(298.157f);
        Assert.Equal(25.01, (stored * coding.Scale) + coding.Offset, 0.006);
        Assert.Equal(ValueCoding.Missing, coding.Encode(float.NaN));
        Assert.Equal(0.83f, coding.DecodeSigma(coding.EncodeSigma(0.83f)), 0.83f * 0.025f);
    }

    [Fact]
    public void Write_TurnsEachCellByItsFoliageAndDistance()
    {
        Raster<ushort> brightness = new(ValueCoding.Temperature.ValueLabel(Grid, ["thermal"]));
        Raster<byte> sigma = new(ValueCoding.Temperature.SigmaLabel(Grid, ["thermal"]));
        Raster<byte> view = new(
            new RasterLabel(Grid, [new BandLabel("view zenith", "degree", 0.5), new BandLabel("azimuth")])
            {
                NoData = 255,
            }
        );
        Raster<float> reflectance = new(new RasterLabel(Grid, [new BandLabel("red"), new BandLabel("nir")]));
        for (int row = 0; row < Rows; row++)
        {
            for (int column = 0; column < Columns; column++)
            {
                brightness[0, row, column] = column == 7 ? ValueCoding.Missing : (ushort)29_815;
                sigma[0, row, column] = ValueCoding.Temperature.EncodeSigma(0.6f);
                view[0, row, column] = 120;
                bool leaf = column >= 300;
                reflectance[0, row, column] = leaf ? 0.03f : 0.2f;
                reflectance[1, row, column] = leaf ? 0.5f : 0.22f;
            }
        }

        // As the camera is 50 m up and looks 60° off, all is 100 m away; foliage makes a kelvin.
        Write(
            brightness,
            sigma,
            view,
            reflectance,
            (kelvin, foliage, metres) => (kelvin + foliage + (metres / 100), 0.8)
        );
        using RasterFile map = RasterFile.Open(Path.Combine(folder, "t.tif"));
        float[] found = new float[Rows * Columns];
        map.ReadTrueValues(0, 0, new RasterWindow(0, 0, Rows, Columns), found);
        Assert.Equal("degree Celsius", map.Bands[0].Unit);
        Assert.Equal(26, found[(100 * Columns) + 100], 0.011);
        Assert.Equal(27, found[(100 * Columns) + 400], 0.011);
        // A thermal pixel of 0.45 m, nine cells: halfway there is half of it; the tile's edge at 512 changes nothing.
        Assert.Equal(26.5, found[(511 * Columns) + 300], 0.1);
        Assert.Equal(found[(100 * Columns) + 513], found[(100 * Columns) + 510]);
        Assert.True(float.IsNaN(found[(100 * Columns) + 7]));
        using RasterFile errors = RasterFile.Open(Path.Combine(folder, "s.tif"));
        byte[] codes = new byte[Rows * Columns];
        errors.Read<byte>(0, 0, new RasterWindow(0, 0, Rows, Columns), codes);
        Assert.Equal(1, ValueCoding.Temperature.DecodeSigma(codes[1000]), 0.05);
        Assert.Equal(0, codes[7]);
    }

    private void Write(
        Raster<ushort> brightness,
        Raster<byte> sigma,
        Raster<byte> view,
        Raster<float> reflectance,
        ToSurfaceTemperature turn
    )
    {
        Cog.Write(Path.Combine(folder, "b.tif"), brightness);
        Cog.Write(Path.Combine(folder, "bs.tif"), sigma);
        Cog.Write(Path.Combine(folder, "v.tif"), view);
        Cog.Write(Path.Combine(folder, "r.tif"), reflectance);
        using RasterFile b = RasterFile.Open(Path.Combine(folder, "b.tif"));
        using RasterFile s = RasterFile.Open(Path.Combine(folder, "bs.tif"));
        using RasterFile v = RasterFile.Open(Path.Combine(folder, "v.tif"));
        using RasterFile r = RasterFile.Open(Path.Combine(folder, "r.tif"));
        TemperatureMap.Write(
            new TemperatureInput(b, s, v, r, 0, 1, 0.45, 50, turn),
            Path.Combine(folder, "t.tif"),
            Path.Combine(folder, "s.tif"),
            2
        );
    }
}
