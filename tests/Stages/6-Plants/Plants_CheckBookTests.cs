using Hillrow.Checks;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Plants.Tests;

public sealed class Plants_CheckBookTests
{
    [Fact]
    public void RasterOutlines_PolygoniseCases_Hold() => AllHold(PolygonChecks.Polygonise());

    [Fact]
    public void ZoneCoverage_ZonalCases_Hold() => AllHold(PolygonChecks.Zonal());

    [Fact]
    public void RingShape_SimplifyCases_Hold() => AllHold(PolygonChecks.Simplify());

    [Fact]
    public void PolygonOverlay_Cases_Hold() => AllHold(PolygonChecks.Overlay());

    [Fact]
    public void PlantsStage_HeightModelScenes_Hold() => AllHold(HeightModelChecks.Plants());

    private static void AllHold(CheckTally tally) => Assert.True(tally.ShareHolding >= 1, tally.Report());
}
