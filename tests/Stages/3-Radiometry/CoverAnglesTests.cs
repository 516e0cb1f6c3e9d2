using Hillrow.Imaging;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Radiometry.Tests;

public sealed class CoverAnglesTests
{
    private const int Captures = 12;

    [Fact]
    public void Solve_LooksOfOneCover_FindsItsWeights()
    {
        ViewAngleWeights truth = new(0.3, 0.12, 0.4);
        ViewAngleWeights found = CoverAngles.Solve(Looks(truth, 400), Captures, OverlapSettings.Default)!;
        foreach (ViewAngleKernels kernels in Directions())
        {
            // What matters is the factor, not the weights: kernels resemble one another at small angles.
            Assert.Equal(truth.Of(kernels) - truth.Of(Nadir()), found.Of(kernels) - found.Of(Nadir()), 0.008);
        }
    }

    [Fact]
    public void Solve_FewLooks_TellsNothing() =>
        Assert.Null(
            CoverAngles.Solve(Looks(new ViewAngleWeights(0.3, 0.12, 0.4), 4), Captures, OverlapSettings.Default)
        );

    [Fact]
    public void Split_WindowHalfLeavesHalfSoil_TakesEachMeanApart()
    {
        const int Columns = 40;
        float[] red = new float[Columns * Columns];
        float[] infrared = new float[Columns * Columns];
        float[] green = new float[Columns * Columns];
        for (int at = 0; at < red.Length; at++)
        {
            // Leaves to the left of column 18 in red; near infrared stands two columns to the right, green one lower.
            bool leaf = at % Columns < 18;
            red[at] = leaf ? 0.04f : 0.2f;
            infrared[at] = at % Columns < 20 ? 0.5f : 0.28f;
            green[at] =
                leaf ? 0.08f
                : at / Columns < 18 ? 0.14f
                : 0.16f;
        }

        OverlapLook look = new(
            0,
            default,
            [0.1f, 0.4f, 0.1f],
            [new PixelPoint(18.4, 19.9), new PixelPoint(20.4, 19.9), new PixelPoint(18.4, 20.9)]
        );
        CoverSampling.Split([look], [red, infrared, green], [Columns, Columns, Columns], (0, 1), 6);
        Assert.Equal([0.04f, 0.5f, 0.08f], look.Canopy, (a, b) => Math.Abs(a - b) < 1e-6);
        Assert.Equal([0.2f, 0.28f, ((4 * 0.14f) + (8 * 0.16f)) / 12], look.Open, (a, b) => Math.Abs(a - b) < 1e-5);
    }

    [Fact]
    public void Split_NearlyNoSoil_HasNoMeanOfIt()
    {
        float[] red = [.. Enumerable.Range(0, 400).Select(at => at % 20 == 10 ? 0.2f : 0.04f)];
        float[] infrared = [.. Enumerable.Range(0, 400).Select(at => at % 20 == 10 ? 0.28f : 0.5f)];
        OverlapLook look = new(0, default, [0.1f, 0.4f], [new PixelPoint(10, 10), new PixelPoint(10, 10)]);
        CoverSampling.Split([look], [red, infrared], [20, 20], (0, 1), 8);
        Assert.All(look.Open, value => Assert.True(float.IsNaN(value)));
        Assert.Equal(0.04f, look.Canopy[0], 1e-6f);
    }

    private static ViewAngleKernels Nadir() => ViewAngleKernels.At(Sun(), new Vector3D(0, 0, 1));

    private static Vector3D Sun() => new Vector3D(0.45, 0.2, 0.87).Normalized();

    private static IEnumerable<ViewAngleKernels> Directions()
    {
        (double X, double Y)[] sides = [(0.3, 0), (-0.3, 0), (0, 0.3), (0.2, 0.2)];
        return sides.Select(at => ViewAngleKernels.At(Sun(), new Vector3D(at.X, at.Y, 1).Normalized()));
    }

    /// <summary>Places on level ground seen by captures on a line each way; light wrong by half a per cent, plants by 6 %.</summary>
    private static IEnumerable<CoverLook> Looks(ViewAngleWeights truth, int places)
    {
        SplittableRandom random = new(4);
        double[] light = [.. Enumerable.Range(0, Captures).Select(_ => 0.005 * random.NextGaussian())];
        for (int place = 0; place < places; place++)
        {
            (double x, double y) = (random.NextDouble(-20, 20), random.NextDouble(-20, 20));
            double level = Math.Log(random.NextDouble(0.1, 0.3));
            for (int capture = 0; capture < Captures; capture++)
            {
                (double east, double north) = (((capture % 4) - 1.5) * 14, ((capture / 4) - 1) * 16);
                ViewAngleKernels kernels = ViewAngleKernels.At(
                    Sun(),
                    new Vector3D(east - x, north - y, 60).Normalized()
                );
                double log = level + truth.Of(kernels) - light[capture] + (0.06 * random.NextGaussian());
                yield return new CoverLook(capture, place, log, kernels);
            }
        }
    }
}
