using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;
using Xunit;

namespace Hillrow.Radiometry.Tests;

public sealed class FrameCoverTests
{
    private const int Rows = 60;
    private const int Columns = 80;

    [Fact]
    public void At_LensesThatLookAside_TakesEachBandsOwnPixel()
    {
        // Leaves left of column 30 in green; red shows them 5 columns further right, near infrared 3 further left.
        FrameCover cover = new(
            Frame(40),
            Frame(45),
            Picture(column => column < 35 ? 0.04f : 0.2f),
            Frame(37),
            Picture(column => column < 27 ? 0.5f : 0.28f),
            60
        );
        for (int column = 0; column < Columns; column++)
        {
            float expected =
                column is < 3 or >= Columns - 5 ? CoverShare.Unknown
                : column < 30 ? 1
                : 0;
            Assert.Equal(expected, cover.At(31, column));
        }
    }

    private static float[] Picture(Func<int, float> value) =>
        [.. Enumerable.Range(0, Rows * Columns).Select(at => value(at % Columns))];

    private static SightedFrame Frame(double middleColumn)
    {
        BrownConradyLens lens = new(
            Rows,
            Columns,
            new BrownConradyValues(70, 70, new PixelPoint(middleColumn, 30), 0, 0, 0, 0, 0)
        );
        Matrix3D down = Matrix3D.FromRows(new Vector3D(1, 0, 0), new Vector3D(0, -1, 0), new Vector3D(0, 0, -1));
        return new SightedFrame(new CameraPose(new Vector3D(0, 0, 60), down), lens);
    }
}
