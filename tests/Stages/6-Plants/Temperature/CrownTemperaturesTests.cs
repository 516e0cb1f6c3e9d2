using Hillrow.Earth;
using Hillrow.Imaging;
using Xunit;

namespace Hillrow.Plants.Tests.Temperature;

public sealed class CrownTemperaturesTests
{
    private const int Side = 120;
    private const double Pixel = 0.3;

    private static readonly GridGeometry Grid = new(
        ReferenceSystem.Find(32721)!,
        new GridPoint(500_000, 8_000_000),
        0.05,
        Side,
        Side
    );

    /// <summary>A crown of 1.5 m at 26 °C on soil of 46 °C, as a sensor of 0.3 m a pixel blurs it.</summary>
    [Fact]
    public void Of_ACrownOnHotSoil_IsFreeOfTheSoil()
    {
        Raster<int> crowns = Crowns((60, 60, 15));
        CrownTemperature found = Assert.Single(
            CrownTemperatures.Of(crowns, Blurred(crowns, 26, 46), Even(0.5f), Pixel, 0.4)
        );
        double whole = Mean(Blurred(crowns, 26, 46), crowns);
        Assert.True(whole > 28, $"the whole crown is {whole}: nothing is mixed");
        Assert.Equal(26, found.Celsius.Value, 0.6);
        Assert.InRange(found.WithinFlightSigma, 0.3, 0.9);
        Assert.Equal(Math.Sqrt((found.WithinFlightSigma * found.WithinFlightSigma) + 0.16), found.Celsius.Sigma, 1e-6);
    }

    [Fact]
    public void Of_ASmallCrown_IsLessSure()
    {
        Raster<int> crowns = Crowns((35, 35, 15), (90, 90, 5));
        IReadOnlyList<CrownTemperature> found = CrownTemperatures.Of(
            crowns,
            Blurred(crowns, 26, 46),
            Even(0.5f),
            Pixel,
            0.4
        );
        Assert.Equal([1, 2], found.Select(crown => crown.Index));
        Assert.True(found[1].WithinFlightSigma > 1.2 * found[0].WithinFlightSigma);
        // Half a metre wide, less than two pixels: soil of 20 K more is nearly all taken off.
        Assert.Equal(26, found[1].Celsius.Value, 2 * found[1].WithinFlightSigma);
        Assert.True(Mean(Blurred(crowns, 26, 46), crowns) > 28);
    }

    [Fact]
    public void Of_ACrownOutsideTheMap_IsLeftOut()
    {
        Raster<int> crowns = Crowns((60, 60, 15));
        Raster<float> nothing = new(RasterLabel.OfOneBand(Grid, "t"));
        nothing.Fill(float.NaN);
        Assert.Empty(CrownTemperatures.Of(crowns, MapLayer.Of(nothing), Even(0.5f), Pixel, 0.4));
    }

    private static Raster<int> Crowns(params (int Row, int Column, int Radius)[] circles)
    {
        Raster<int> crowns = new(RasterLabel.OfOneBand(Grid, "plant"));
        for (int circle = 0; circle < circles.Length; circle++)
        {
            (int middle, int across, int radius) = circles[circle];
            for (int row = 0; row < Side; row++)
            {
                for (int column = 0; column < Side; column++)
                {
                    int far = ((row - middle) * (row - middle)) + ((column - across) * (column - across));
                    crowns[0, row, column] = far <= radius * radius ? circle + 1 : crowns[0, row, column];
                }
            }
        }

        return crowns;
    }

    private static MapLayer Blurred(Raster<int> crowns, float crown, float soil)
    {
        // Such a blur as 2.3 pixels are.
        const int Half = 6;
        Raster<float> blurred = new(RasterLabel.OfOneBand(Grid, "t"));
        for (int row = 0; row < Side; row++)
        {
            for (int column = 0; column < Side; column++)
            {
                float sum = 0;
                for (int r = -Half; r <= Half; r++)
                {
                    for (int c = -Half; c <= Half; c++)
                    {
                        int at = Math.Clamp(row + r, 0, Side - 1);
                        sum += crowns[0, at, Math.Clamp(column + c, 0, Side - 1)] > 0 ? crown : soil;
                    }
                }

                blurred[0, row, column] = sum / (((2 * Half) + 1) * ((2 * Half) + 1));
            }
        }

        return MapLayer.Of(blurred);
    }

    private static MapLayer Even(float value)
    {
        Raster<float> even = new(RasterLabel.OfOneBand(Grid, "s"));
        even.Fill(value);
        return MapLayer.Of(even);
    }

    private static double Mean(MapLayer layer, Raster<int> crowns)
    {
        float[] cells = layer.Read(0, new RasterWindow(0, 0, Side, Side));
        return cells.Where((_, at) => crowns.Band(0)[at] > 0).Average();
    }
}
