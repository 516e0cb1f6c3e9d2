using Hillrow.Checks;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Earth.Tests;

/// <summary>tests/Reference/solar-position, every case and tolerance.</summary>
public sealed class SolarPosition_CheckBookTests
{
    [Fact]
    public void WorkedExample_EveryPrintedValue_Holds() => AllHold(SolarPositionChecks.WorkedExample());

    [Fact]
    public void Positions_AstropyCases_Hold() => AllHold(SolarPositionChecks.Positions());

    [Fact]
    public void RiseAndSet_AstropyCases_Hold() => AllHold(SolarPositionChecks.RiseAndSet());

    [Fact]
    public void Positions_WorstError_StaysWithinTheAlgorithmsClaim() =>
        Assert.InRange(SolarPositionChecks.MaxErrorDegrees(), 0, 0.0003);

    private static void AllHold(CheckTally tally) => Assert.True(tally.Failures.Count == 0, tally.Report());
}
