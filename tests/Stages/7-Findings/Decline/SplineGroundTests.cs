using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Findings.Tests;

public sealed class SplineGroundTests
{
    private static (double[] East, double[] North) Places(ulong seed)
    {
        SplittableRandom draw = new(seed);
        return (
            [.. Enumerable.Range(0, 2000).Select(_ => draw.NextDouble(0, 120))],
            [.. Enumerable.Range(0, 2000).Select(_ => draw.NextDouble(0, 90))]
        );
    }

    [Fact]
    public void Fit_Plane_IsGivenBackWhateverTheSmoothness()
    {
        (double[] east, double[] north) = Places(1);
        double[] plane = [.. east.Zip(north, (e, n) => 0.4 + (0.002 * e) - (0.001 * n))];
        double[] fitted = new double[plane.Length];
        double[] weights = new double[plane.Length];
        Array.Fill(weights, 1);
        foreach (double smoothness in new[] { 1e-3, 1.0, 1e4 })
        {
            Assert.True(new SplineGround(east, north, 30).Fit(plane, weights, smoothness, fitted));
            Assert.All(plane.Zip(fitted), pair => Assert.InRange(pair.Second - pair.First, -1e-6, 1e-6));
        }
    }

    [Fact]
    public void Fit_WeightZero_HasNoSay()
    {
        (double[] east, double[] north) = Places(2);
        double[] values = [.. east.Select((e, at) => at % 10 == 0 ? double.NaN : 1 + (0.01 * e))];
        double[] weights = [.. values.Select(value => double.IsNaN(value) ? 0.0 : 1)];
        double[] fitted = new double[values.Length];
        Assert.True(new SplineGround(east, north, 30).Fit(values, weights, 0.3, fitted));
        Assert.All(east.Zip(fitted), pair => Assert.InRange(pair.Second - 1 - (0.01 * pair.First), -1e-5, 1e-5));
    }

    [Fact]
    public void SlowSurface_SickPatchInASoilWave_FollowsTheSoilOnly()
    {
        (double[] east, double[] north) = Places(3);
        SplittableRandom draw = new(4);
        double Soil(int at) => 0.05 * Math.Sin(east[at] / 30);
        bool Sick(int at) => Math.Pow(east[at] - 60, 2) + Math.Pow(north[at] - 45, 2) < 64;
        double[] values =
        [
            .. Enumerable
                .Range(0, east.Length)
                .Select(at => Soil(at) - (Sick(at) ? 0.12 : 0) + (0.015 * draw.NextGaussian())),
        ];
        SlowSurface surface = SlowSurface.Fit(new SplineGround(east, north, 30), values);
        double lift = surface.Fitted.Select((value, at) => value - Soil(at)).Where((_, at) => !Sick(at)).Average();
        Assert.All(
            Enumerable.Range(0, east.Length).Where(Sick),
            at => Assert.InRange(surface.Fitted[at] - Soil(at) - lift, -0.02, 0.02)
        );
        Assert.InRange(surface.Scale, 0.012, 0.018);
    }
}
