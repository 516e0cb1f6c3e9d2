using Hillrow.Imaging;
using Xunit;

namespace Hillrow.Intake.Tests;

/// <summary>The sixteen-pixel way against the plain one.</summary>
public sealed class FrameSummingTests
{
    [Theory]
    [InlineData(96, 128, 12, BitPlacement.High)]
    [InlineData(97, 131, 12, BitPlacement.Low)]
    [InlineData(48, 48, 8, BitPlacement.Low)]
    [InlineData(60, 517, 16, BitPlacement.Low)]
    [InlineData(50, 77, 14, BitPlacement.High)]
    [InlineData(6, 8, 10, BitPlacement.Low)]
    [InlineData(1, 1, 12, BitPlacement.High)]
    public void Add_RandomFrame_EqualsThePlainWay(int rows, int columns, int bits, BitPlacement placement)
    {
        BandSensor sensor = new(columns, rows, 3.2, bits, placement);
        Random draw = new(rows + columns);
        // Whole 16 bits, also where the camera has fewer: a damaged file must not upset the sums.
        ushort[] samples = [.. Enumerable.Range(0, rows * columns).Select(_ => (ushort)draw.Next(65_536))];
        FrameSums fast = Sums(samples, sensor, plain: false);
        FrameSums plain = Sums(samples, sensor, plain: true);
        Assert.Equal(plain.Sum, fast.Sum);
        Assert.Equal(plain.Saturated, fast.Saturated);
        Assert.Equal(plain.FineAcross, fast.FineAcross);
        Assert.Equal(plain.FineDown, fast.FineDown);
        Assert.Equal(plain.CoarseAcross, fast.CoarseAcross);
        Assert.Equal(plain.CoarseDown, fast.CoarseDown);
        Assert.Equal(plain.TileSums, fast.TileSums);
        Assert.Equal(plain.TileSquares, fast.TileSquares);
        Assert.Equal(plain.TileSaturated, fast.TileSaturated);
    }

    [Fact]
    public void Of_FrameWithAnEvenSquare_TellsItsLevel()
    {
        const int Rows = 480;
        const int Columns = 640;
        BandSensor sensor = new(Columns, Rows, 3.2, 12);
        Random draw = new(7);
        ushort[] samples = new ushort[Rows * Columns];
        for (int row = 0; row < Rows; row++)
        {
            for (int column = 0; column < Columns; column++)
            {
                bool panel = row is > 200 and < 290 && column is > 300 and < 420;
                samples[(row * Columns) + column] = (ushort)(panel ? 2000 + draw.Next(-15, 16) : draw.Next(200, 1400));
            }
        }

        FrameLook look = FrameLook.Of(samples, sensor, 200);
        Assert.Equal(1800.0 / (4095 - 200), look.EvenShare, 0.005);
        Assert.Equal(0, look.SaturatedShare);
        double mean = samples.Average(sample => (double)sample);
        Assert.Equal((mean - 200) / (4095 - 200), look.MeanShare, 1e-9);
        Assert.Equal(FrameLook.TileShareEdge * FrameLook.TileShareEdge, look.TileShares.Count);
        Assert.Equal(look.MeanShare, look.TileShares.Average(), 0.001);
    }

    [Fact]
    public void Of_DeepSensor_MeanStaysWithinAQuarterCount()
    {
        BandSensor sensor = new(64, 64, 3.2, 16);
        Random draw = new(9);
        ushort[] samples = [.. Enumerable.Range(0, 64 * 64).Select(_ => (ushort)draw.Next(500, 30_000))];
        FrameLook look = FrameLook.Of(samples, sensor, 400);
        Assert.Equal((samples.Average(one => (double)one) - 400) / (65_535 - 400), look.MeanShare, 1e-6);
    }

    private static FrameSums Sums(ushort[] samples, BandSensor sensor, bool plain)
    {
        int shift = sensor.Placement == BitPlacement.High ? 16 - sensor.BitDepth : 0;
        FrameSums sums = new(
            Math.Min(48, sensor.Rows / Math.Max(1, sensor.Rows / 48)),
            Math.Min(48, sensor.Columns / Math.Max(1, sensor.Columns / 48)),
            Math.Max(1, sensor.Rows / 48),
            Math.Max(1, sensor.Columns / 48)
        );
        FrameSumming.Add(samples, sensor.Rows, sensor.Columns, shift, sensor, sums, plain);
        return sums;
    }
}
