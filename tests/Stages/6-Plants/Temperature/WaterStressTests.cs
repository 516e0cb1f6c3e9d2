using Xunit;

namespace Hillrow.Plants.Tests.Temperature;

public sealed class WaterStressTests
{
    /// <summary>Worked values: ΔT 1.0, lower limit −2.5, upper 4.5; dry 36, crown 30, wet 26.</summary>
    [Fact]
    public void Index_OfWorkedValues_IsTheirs()
    {
        Assert.Equal(0.5, WaterStress.Index(1, -2.5, 4.5), 12);
        Assert.Equal(0.4, WaterStress.Index(30, 26, 36), 12);
        Assert.Equal(1.5, WaterStress.ConductanceIndex(30, 26, 36), 12);
    }

    [Fact]
    public void Baseline_OfCrownsThatDiffer_IsTheirCoolestAndHottest()
    {
        StressBaseline found = WaterStress.Baseline(Crowns(200, 0.04, 0.2));
        Assert.True(found.Holds);
        // A hundredth is left out at each end, then a twentieth taken: crowns 2 to 11 of 200 from 25 °C on.
        Assert.Equal(25 + (0.04 * 6.5), found.WetCelsius.Value, 1e-9);
        Assert.Equal(25 + (0.04 * (199 - 6.5)), found.DryCelsius.Value, 1e-9);
        Measured middle = WaterStress.Index(new CrownTemperature(1, new Measured(28.98, 1), 0.2), found);
        Assert.Equal(0.5, middle.Value, 0.01);
        Assert.InRange(middle.Sigma, 0.02, 0.05);
    }

    [Fact]
    public void Baseline_OfCrownsAllAlike_IsRefusedWithTheReason()
    {
        StressBaseline found = WaterStress.Baseline(Crowns(200, 0.002, 0.2));
        Assert.False(found.Holds);
        Assert.Contains("differ by 0.4 K only", found.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Baseline_OfFewCrowns_IsRefused() =>
        Assert.Contains(
            "39 well-defined crowns are too few",
            WaterStress.Baseline(Crowns(39, 0.2, 0.1)).Reason,
            StringComparison.Ordinal
        );

    [Fact]
    public void Index_OfAFlightAllTooWarm_IsTheSame()
    {
        StressBaseline right = WaterStress.Baseline(Crowns(100, 0.05, 0.1));
        CrownTemperature[] warm =
        [
            .. Crowns(100, 0.05, 0.1)
                .Select(crown => crown with { Celsius = new Measured(crown.Celsius.Value + 3, 3) }),
        ];
        StressBaseline wrong = WaterStress.Baseline(warm);
        Measured a = WaterStress.Index(Crowns(100, 0.05, 0.1)[30], right);
        Measured b = WaterStress.Index(warm[30], wrong);
        Assert.Equal(a.Value, b.Value, 1e-9);
        Assert.Equal(a.Sigma, b.Sigma, 1e-9);
    }

    private static CrownTemperature[] Crowns(int count, double step, double sigma) =>
        [
            .. Enumerable
                .Range(0, count)
                .Select(at => new CrownTemperature(at + 1, new Measured(25 + (step * at), 1), sigma)),
        ];
}
