using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

/// <summary>Against tests/Reference/radiometry/planck.json.</summary>
public sealed class HeatRadiance_PlanckTests
{
    [Fact]
    public void OfBlackBody_CheckTemperatures_WithinAMillikelvin()
    {
        int compared = 0;
        foreach (CheckCase check in CheckBook.Open("radiometry", "planck.json").Cases)
        {
            double kelvin = check.In.GetProperty("T_K").GetDouble();
            if (kelvin is < 200 or > 420)
            {
                continue;
            }

            double wanted = check.Out.GetProperty("L_8_14_W_m2_sr").GetDouble();
            double perKelvin = check.Out.GetProperty("dLdT_8_14").GetDouble();
            Assert.Equal(wanted, HeatRadiance.OfBlackBody(kelvin), 1e-3 * perKelvin);
            Assert.Equal(kelvin, HeatRadiance.BrightnessKelvin(wanted), 1e-3);
            compared++;
        }

        Assert.True(compared >= 5);
    }
}
