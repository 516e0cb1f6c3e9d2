using Hillrow.Imaging;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class LevelCameraTests
{
    [Fact]
    public void Take_LargeFrame_IsReducedAndKeepsPlaces()
    {
        const int Rows = 2600;
        const int Columns = 3001;
        LevelCamera camera = new(
            new BrownConradyLens(
                Rows,
                Columns,
                new BrownConradyValues(2500, 2500, new PixelPoint(Columns / 2.0, Rows / 2.0))
            )
        );
        Assert.Equal((2, 1300, 1500), (camera.Reduction, camera.Rows, camera.Columns));
        Assert.Equal(1250, camera.FocalPixels, 6);
        Assert.Equal(Columns / 4.0, camera.PrincipalColumn, 6);

        // Brightness that rises along columns and rows tells every pixel's place.
        ushort[] counts = new ushort[Rows * Columns];
        for (int at = 0; at < counts.Length; at++)
        {
            counts[at] = (ushort)((4 * (at % Columns)) + (8 * (at / Columns)));
        }

        ushort[] taken = camera.Take(counts);
        foreach ((int row, int column) in new[] { (5, 7), (650, 750), (1290, 1480) })
        {
            // The middle of two by two pixels: half a pixel on from the first.
            double expected = (4 * ((2 * column) + 0.5)) + (8 * ((2 * row) + 0.5));
            Assert.InRange(taken[(row * camera.Columns) + column], expected - 2, expected + 2);
        }
    }

    [Theory]
    [InlineData(1544, 2064, 1)]
    [InlineData(2000, 3000, 1)]
    [InlineData(3456, 4608, 2)]
    [InlineData(6000, 8000, 3)]
    public void ReductionOf_FramesOfManySizes_LeavesSixMegapixelsAtMost(int rows, int columns, int reduction) =>
        Assert.Equal(reduction, LevelCamera.ReductionOf(rows, columns));
}
