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

    [Fact]
    public void VerticalPhoto_GroundSampleAndOverlap_Hold() => AllHold(CameraGeometryChecks.GroundSampleAndOverlap());

    [Fact]
    public void PlaneFootprint_SlopeCases_Hold() => AllHold(CameraGeometryChecks.FootprintOnSlope());

    [Fact]
    public void Triangulation_TwoViewCases_Hold() => AllHold(CameraGeometryChecks.TwoViewTriangulation());

    [Fact]
    public void Resection_ScipyOptima_Hold() => AllHold(CameraGeometryChecks.PoseFromPoints());

    [Fact]
    public void Homography_ScipyOptima_Hold() => AllHold(CameraGeometryChecks.PlaneHomography());

    private static void AllHold(CheckTally tally) => Assert.True(tally.Failures.Count == 0, tally.Report());
}
