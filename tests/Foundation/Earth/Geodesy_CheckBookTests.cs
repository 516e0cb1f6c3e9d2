using Hillrow.Checks;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Earth.Tests;

/// <summary>tests/Reference/geodesy, every case and tolerance.</summary>
public sealed class Geodesy_CheckBookTests
{
    [Fact]
    public void Utm_GeographicLibCases_Hold() => AllHold(GeodesyChecks.Utm());

    [Fact]
    public void Ecef_GeographicLibCases_Hold() => AllHold(GeodesyChecks.Ecef());

    [Fact]
    public void LocalFrame_GeographicLibCases_Hold() => AllHold(GeodesyChecks.Enu());

    [Fact]
    public void Geoid_ProjAndAgencyCases_Hold() => AllHold(GeodesyChecks.Egm96());

    [Fact]
    public void Projections_GuidanceNoteCases_Hold() => AllHold(GeodesyChecks.GuidanceNote());

    [Fact]
    public void Geodesic_GeographicLibCases_Hold() => AllHold(GeodesyChecks.GeodesicInverse());

    [Fact]
    public void PolygonArea_GeographicLibCases_Hold() => AllHold(GeodesyChecks.PolygonArea());

    private static void AllHold(CheckTally tally) => Assert.True(tally.Failures.Count == 0, tally.Report());
}
