using Hillrow.Checks;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Radiometry.Tests;

public sealed class Radiometry_CheckBookTests
{
    [Fact]
    public void ThermalRadiance_BlackBodyCases_Hold() => AllHold(RadiometryChecks.BlackBody());

    [Fact]
    public void ThermalRadiance_SurfaceTemperatures_Hold() => AllHold(RadiometryChecks.SurfaceTemperature());

    [Fact]
    public void FresnelPlate_Cases_Hold() => AllHold(RadiometryChecks.Plate());

    [Fact]
    public void TiltedIrradiance_Cases_Hold() => AllHold(RadiometryChecks.Tilt());

    [Fact]
    public void RelativeRadiance_PanelCases_Hold() => AllHold(RadiometryChecks.Panel());

    [Fact]
    public void EmpiricalLine_Cases_Hold() => AllHold(RadiometryChecks.Line());

    [Fact]
    public void BandSpectrum_ReferenceSpectra_Hold()
    {
        CheckTally? tally = RadiometryChecks.ReferenceSpectra();
        Assert.SkipWhen(
            tally is null,
            "The table of the reference solar spectra is not beside this checkout (it may not be copied)."
        );
        AllHold(tally!);
    }

    [Fact]
    public void Reflectance_LeafSpectra_AreTheInstrumentsOwn()
    {
        CheckTally? tally = LeafSpectra.All();
        Assert.SkipWhen(tally is null, "The leaf spectra are not beside this checkout (they may not be copied).");
        AllHold(tally!);
    }

    [Fact]
    public void BrightnessKelvin_NoRadiance_IsNaN() =>
        Assert.Equal(double.NaN, ThermalRadiance.BrightnessKelvin(0, new ThermalBandLimits(8, 14)));

    [Fact]
    public void Fit_TargetsOfOneSignal_Throws() =>
        Assert.Throws<ArgumentException>(() => EmpiricalLine.Fit([5, 5, 5], [0.1, 0.2, 0.3]));

    [Fact]
    public void OfRow_ManyPixels_EqualsThePixelFormula()
    {
        ushort[] counts = [0, 240, 900, 4094, 4095];
        float[] falloff = [1, 0.9f, 0.8f, 0.7f, 0.6f];
        float[] radiance = new float[5];
        RelativeRadiance.OfRow(counts, falloff, 240, 4095, 0.002, 2, radiance);
        for (int index = 0; index < 4; index++)
        {
            double wanted = RelativeRadiance.Of(counts[index], 240, 4095, 0.002, 2, falloff[index]);
            Assert.Equal(wanted, radiance[index], 1e-4);
        }

        Assert.True(float.IsNaN(radiance[4]));
    }

    private static void AllHold(CheckTally tally) => Assert.True(tally.Failures.Count == 0, tally.Report());
}
