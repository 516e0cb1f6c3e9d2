using Xunit;

namespace Hillrow.Radiometry.Tests;

public sealed class StandingShadeTests
{
    [Theory]
    [InlineData(0, 0.3)] // all looks at once: nothing tells shade from dark ground
    [InlineData(30, 0.11)] // a line of captures
    [InlineData(600, 1e-6)] // the next battery
    public void Sigma_TheLongerAGroundIsLookedAt_TheLessIsLeft(double seconds, double expected)
    {
        double[] places = [seconds, seconds, 0, 1000, seconds];
        Assert.Equal(expected, StandingShade.Sigma(places, 0.3), 0.005);
    }

    [Fact]
    public void Sigma_SteadyLightOrNoPlaces_IsNone()
    {
        Assert.Equal(0, StandingShade.Sigma([3, 4], 0));
        Assert.Equal(0, StandingShade.Sigma([], 0.3));
    }

    [Fact]
    public void SpreadOf_HalfOfTheFramesInShade_IsHalfTheStep() =>
        Assert.Equal(
            0.25,
            StandingShade.SpreadOf([
                [0.5, 0.5],
                [0, 0],
                [0.5, 0],
                [0, 0.5],
            ]),
            12
        );
}
