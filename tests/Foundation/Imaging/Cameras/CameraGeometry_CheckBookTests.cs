using Hillrow.Checks;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Imaging.Tests;

public sealed class CameraGeometry_CheckBookTests
{
    [Fact]
    public void Projection_OpenCvCases_Hold() => AllHold(CameraGeometryChecks.Projection());

    [Fact]
    public void Rodrigues_OpenCvCases_Hold() => AllHold(CameraGeometryChecks.Rodrigues());

    [Fact]
    public void RotationConventions_TextbookCases_Hold() => AllHold(CameraGeometryChecks.RotationConventions());

    private static void AllHold(CheckTally tally) => Assert.True(tally.Failures.Count == 0, tally.Report());
}
