using Hillrow.Checks;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Earth.Tests;

/// <summary>tests/Reference/terrain, every case and tolerance.</summary>
public sealed class Terrain_CheckBookTests
{
    [Fact]
    public void Samples_GdalCases_Hold() => AllHold(TerrainChecks.Samples());

    [Fact]
    public void Horizon_BruteForceCases_Hold() => AllHold(TerrainChecks.Horizons());

    [Fact]
    public void Profile_FineStepCases_Hold() => AllHold(TerrainChecks.Profiles());

    [Fact]
    public void SlopeAspectShade_GdalGrids_Hold() => AllHold(TerrainChecks.Grids());

    private static void AllHold(CheckTally tally) => Assert.True(tally.Failures.Count == 0, tally.Report());
}
