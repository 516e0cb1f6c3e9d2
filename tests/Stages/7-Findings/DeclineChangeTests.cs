using Xunit;

namespace Hillrow.Findings.Tests;

public sealed class DeclineChangeTests
{
    [Theory]
    [InlineData(-0.2, Severity.Healthy, -4.0, Severity.Moderate, 0, PlantChange.New)]
    [InlineData(-0.2, Severity.Healthy, -4.0, Severity.Moderate, -1, PlantChange.Alone)]
    [InlineData(-1.9, Severity.Healthy, -2.3, Severity.Light, -1, PlantChange.Uncertain)]
    [InlineData(-4.0, Severity.Moderate, -3.5, Severity.Moderate, -1, PlantChange.Standing)]
    [InlineData(-5.0, Severity.Severe, 0.1, Severity.Healthy, -1, PlantChange.Recovered)]
    [InlineData(0.3, Severity.Healthy, -0.3, Severity.Healthy, -1, PlantChange.Healthy)]
    [InlineData(0.3, Severity.Healthy, double.NaN, Severity.NotJudged, -1, PlantChange.Unknown)]
    public void Between_OnePlant_IsNamed(
        double before,
        Severity was,
        double now,
        Severity severity,
        int patch,
        PlantChange wanted
    )
    {
        PlantVerdict then = new(7, before, 0.3, 0, was, -1, 0);
        PlantVerdict today = new(7, now, 0.3, 0, severity, patch, 0);
        Assert.Equal(wanted, DeclineChange.Between([then], [today])[7]);
    }

    [Fact]
    public void Between_PlantOfOneSurveyOnly_IsUnknown()
    {
        PlantVerdict only = new(3, -4, 0.3, 0, Severity.Moderate, -1, 0);
        Assert.Equal(PlantChange.Unknown, DeclineChange.Between([], [only])[3]);
        Assert.Equal(PlantChange.Unknown, DeclineChange.Between([only], [])[3]);
    }
}
