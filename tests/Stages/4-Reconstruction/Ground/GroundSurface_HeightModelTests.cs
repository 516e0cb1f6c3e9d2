using Hillrow.Checks;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class GroundSurface_HeightModelTests
{
    [Fact]
    public void Below_ScenesOfTheCheckBook_WithinTheirBounds()
    {
        CheckTally tally = GroundChecks.Scenes();
        Assert.True(tally.Failures.Count == 0, tally.Report());
    }
}
