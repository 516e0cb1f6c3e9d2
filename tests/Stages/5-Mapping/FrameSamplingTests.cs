using Hillrow.Imaging;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Mapping.Tests;

public sealed class FrameSamplingTests
{
    [Theory]
    [InlineData(2, 2)]
    [InlineData(37, 53)]
    public void Bilinear_AnyPlace_AgreesWithThePlainSampler(int frameRows, int frameColumns)
    {
        SplittableRandom random = new(11);
        float[] frame = [.. Enumerable.Range(0, frameRows * frameColumns).Select(_ => (float)random.NextDouble(0, 1))];
        const int count = 1003; // no multiple of 8: the last ones go one by one
        float[] columns = [.. Enumerable.Range(0, count).Select(_ => (float)random.NextDouble(-1, frameColumns + 1))];
        float[] rows = [.. Enumerable.Range(0, count).Select(_ => (float)random.NextDouble(-1, frameRows + 1))];
        (columns[0], rows[0]) = (0.5f, 0.5f);
        (columns[1], rows[1]) = (frameColumns - 0.5f, frameRows - 0.5f);
        columns[2] = float.NaN;
        float[] values = new float[count];
        FrameSampling.Bilinear(frame, frameRows, frameColumns, columns, rows, values);
        Assert.Equal(frame[0], values[0]);
        Assert.Equal(frame[^1], values[1], 6);
        for (int at = 0; at < count; at++)
        {
            bool inside =
                columns[at] >= 0.5f
                && rows[at] >= 0.5f
                && columns[at] <= frameColumns - 0.5f
                && rows[at] <= frameRows - 0.5f;
            Assert.Equal(!inside, float.IsNaN(values[at]));
            if (inside)
            {
                double expected = Resampling.Sample<float>(
                    frame,
                    frameRows,
                    frameColumns,
                    new PixelPoint(columns[at], rows[at]),
                    ResamplingMethod.Bilinear
                );
                Assert.InRange(values[at] - expected, -2e-6, 2e-6); // single against double precision
            }
        }
    }

    [Fact]
    public void Bilinear_NoDataPixel_SpreadsToItsNeighboursOnly()
    {
        float[] frame = [.. Enumerable.Repeat(1f, 100)];
        frame[55] = float.NaN;
        float[] columns = [5.5f, 4.8f, 6.2f, 3.9f, 7.1f, 5.5f, 5.5f, 5.5f];
        float[] rows = [5.5f, 5.5f, 5.5f, 5.5f, 5.5f, 3.9f, 7.2f, 5.2f];
        float[] values = new float[8];
        FrameSampling.Bilinear(frame, 10, 10, columns, rows, values);
        Assert.Equal([true, true, true, false, false, false, false, true], values.Select(float.IsNaN));
    }

    [Fact]
    public void LensLattice_StrongDistortion_ErrsLessThanAHundredthOfAPixel()
    {
        BrownConradyLens lens = new(
            1152,
            1536,
            new BrownConradyValues(1650, 1652, new PixelPoint(771, 569), -0.14, 0.16, 0.0006, -0.0008)
        );
        LensLattice lattice = LensLattice.Of(lens);
        SplittableRandom random = new(5);
        for (int trial = 0; trial < 5000; trial++)
        {
            PixelPoint pixel = new(random.NextDouble(0, 1536), random.NextDouble(0, 1152));
            Vector3D ray = lens.RayOf(pixel);
            PixelPoint found = lattice.PlaceOf((float)(ray.X / ray.Z), (float)(ray.Y / ray.Z));
            Assert.InRange(found.Column - pixel.Column, -0.01, 0.01);
            Assert.InRange(found.Row - pixel.Row, -0.01, 0.01);
        }

        Assert.Equal(double.NaN, lattice.PlaceOf(2, 0).Column);
    }
}
