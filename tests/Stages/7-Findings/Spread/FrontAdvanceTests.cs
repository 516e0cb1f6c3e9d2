using Hillrow.Earth;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Findings.Tests;

public sealed class FrontAdvanceTests
{
    /// <summary>A patch whose harm falls off linearly at its edge: another shape than the one that is fitted.</summary>
    private static List<TwiceSeen> Patch(double before, double now, ulong seed)
    {
        SplittableRandom draw = new(seed);
        List<TwiceSeen> plants = [];
        for (double east = -20; east <= 20; east += 1.5)
        {
            for (double north = -20; north <= 20; north += 2.5)
            {
                double distance = Math.Sqrt((east * east) + (north * north));
                double Harm(double radius) => -7 * draw.NextDouble(0.6, 1) * Math.Clamp((radius - distance) / 3, 0, 1);
                plants.Add(
                    new TwiceSeen(
                        new GridPoint(500_000 + east, 9_000_000 + north),
                        Harm(before) + draw.NextGaussian(),
                        Harm(now) + draw.NextGaussian()
                    )
                );
            }
        }

        return plants;
    }

    [Theory]
    [InlineData(6, 9)]
    [InlineData(7, 7)]
    [InlineData(9, 7)]
    public void Fit_PatchOfKnownEdge_TellsItsAdvanceWithinItsError(double before, double now)
    {
        int inside = 0;
        const int Patches = 12;
        for (ulong seed = 1; seed <= Patches; seed++)
        {
            FrontAdvance front = Assert.IsType<FrontAdvance>(
                FrontAdvance.Fit(Patch(before, now, seed), new GridPoint(500_000.8, 8_999_999.4), before, now, 100)
            );
            Assert.InRange(front.AdvanceMetres, now - before - 1, now - before + 1);
            double speed = (now - before) / 100;
            inside += front.SpeedInterval.Low <= speed && speed <= front.SpeedInterval.High ? 1 : 0;
        }

        // 95 % intervals: under 9 of 12 would come once in five hundred times.
        Assert.InRange(inside, 9, Patches);
    }

    [Fact]
    public void Fit_FewPlants_IsNull() =>
        Assert.Null(FrontAdvance.Fit([.. Patch(6, 9, 1).Take(5)], new GridPoint(500_000, 9_000_000), 6, 9, 100));
}
