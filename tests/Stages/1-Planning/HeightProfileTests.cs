using CsCheck;
using Hillrow.Checks;
using Xunit;

namespace Hillrow.Planning.Tests;

public sealed class HeightProfileTests
{
    private const double Step = 4;

    [Fact]
    public void Fit_AnyGround_KeepsFloorClimbAndAcceleration() =>
        Gen.Select(Gen.Double[-20, 20].Array[3, 200], Gen.Double[0, 60], Gen.Double[1.5, 10].Array[3, 200])
            .Sample(
                (steps, drop, speedDraws) =>
                {
                    AircraftProfile aircraft = PlanScene.Aircraft;
                    double limit = HeightProfile.ClimbAndDescent(aircraft);
                    double[] wanted = new double[steps.Length];
                    double sum = 0;
                    for (int at = 0; at < steps.Length; at++)
                    {
                        sum += steps[at];
                        wanted[at] = sum;
                    }

                    double[] floor = [.. wanted.Select((height, at) => height - drop + (10 * Math.Sin(at)))];
                    double[] speeds = [.. wanted.Select((_, at) => speedDraws[at % speedDraws.Length])];
                    double[] up = new double[wanted.Length];
                    HeightProfile.Fit(wanted, floor, speeds, limit, Step, HeightProfile.HalfWindow(aircraft, Step), up);
                    for (int at = 0; at < up.Length; at++)
                    {
                        Assert.True(up[at] >= floor[at] - 1e-6, "below the floor");
                        if (at + 1 < up.Length)
                        {
                            double rate = Math.Abs(up[at + 1] - up[at]) * speeds[at] / Step;
                            Assert.True(rate <= limit + 1e-6, $"climbs {rate}");
                        }

                        if (at > 0 && at + 1 < up.Length)
                        {
                            double bend = Math.Abs(up[at + 1] - (2 * up[at]) + up[at - 1]) / (Step * Step);
                            double acceleration = bend * speeds[at] * speeds[at];
                            Assert.True(
                                acceleration <= aircraft.VerticalAccelerationMetresPerSecondSquared + 1e-6,
                                $"bends {acceleration}"
                            );
                        }
                    }
                },
                iter: 500,
                seed: "0000000000003"
            );

    [Fact]
    public void Fit_LevelGround_FollowsIt()
    {
        double[] level = new double[50];
        Array.Fill(level, 80);
        double[] up = new double[50];
        HeightProfile.Fit(level, new double[50], [.. level.Select(_ => 8.0)], 2.5, Step, 4, up);
        Assert.All(up, height => Assert.Equal(80, height, 9));
    }
}
