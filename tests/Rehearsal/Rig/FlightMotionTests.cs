using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed class FlightMotionTests
{
    [Fact]
    public void After_LongSeries_HasAskedSpreadAndCorrelation()
    {
        DriftingError error = new(2, 10, new SplittableRandom(4));
        double[] series = [.. Enumerable.Range(0, 40000).Select(_ => error.After(2))];
        double variance = series.Select(value => value * value).Average();
        double lagged = series.Zip(series.Skip(1), (a, b) => a * b).Average();
        Assert.Equal(4, variance, 0.35);
        Assert.Equal(Math.Exp(-0.2), lagged / variance, 0.02);
    }

    [Fact]
    public void Fly_Reported_DiffersFromTrueByMetresNotMore()
    {
        IReadOnlyList<PlannedCapture> plan = FlightLines.Over((_, _) => 0, 0, 0, 70, 4, 10, 30, 0.8, 0.7);
        IReadOnlyList<FlownPose> flown = FlightMotion.Fly(plan, new MotionSettings(), new SplittableRandom(8));
        Assert.Equal(40, flown.Count);
        foreach (FlownPose pose in flown)
        {
            double off = (pose.Reported.PositionMetres - pose.True.PositionMetres).Length;
            Assert.InRange(off, 0.01, 9);
        }

        // Drifting, not white: neighbours err alike.
        double step = flown.Zip(flown.Skip(1), (a, b) => (Error(a) - Error(b)).Length).Average();
        Assert.True(step < 0.6 * flown.Average(pose => Error(pose).Length));
    }

    [Fact]
    public void Over_Plan_KeepsHeightAndOverlap()
    {
        IReadOnlyList<PlannedCapture> plan = FlightLines.Over((x, y) => 0.2 * y, 0, 0, 70, 2, 5, 0, 0.8, 0.7);
        Assert.All(plan, at => Assert.Equal(70, at.PositionMetres.Z - (0.2 * at.PositionMetres.Y), 1e-9));
        double pixel = 70 * TrueRig.PixelMicrometres / (TrueRig.NominalFocalMillimetres * 1000);
        Assert.Equal(0.2 * pixel * TrueRig.Rows, plan[1].PositionMetres.Y - plan[0].PositionMetres.Y, 1e-9);
    }

    private static Vector3D Error(FlownPose pose) => pose.Reported.PositionMetres - pose.True.PositionMetres;
}
