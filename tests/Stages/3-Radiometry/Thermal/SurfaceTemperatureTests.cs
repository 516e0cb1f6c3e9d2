using Hillrow.Earth;
using Xunit;

namespace Hillrow.Radiometry.Tests.Thermal;

public sealed class SurfaceTemperatureTests
{
    private static readonly ThermalBandLimits Band = new(8, 14);
    private static readonly RadianceTable Table = new(Band);

    [Theory]
    [InlineData(181.03)]
    [InlineData(273.15)]
    [InlineData(299.987)]
    [InlineData(449.9)]
    public void RadianceTable_ThereAndBack_IsTheSeries(double kelvin)
    {
        Assert.Equal(ThermalRadiance.OfBlackBody(kelvin, Band), Table.Of(kelvin), 1e-4);
        Assert.Equal(kelvin, Table.BrightnessKelvin(Table.Of(kelvin)), 1e-6);
        Assert.Equal(kelvin, Table.BrightnessKelvin(ThermalRadiance.OfBlackBody(kelvin, Band)), 1e-4);
    }

    [Fact]
    public void RadianceTable_BeyondItsEnds_IsNoTemperature()
    {
        Assert.True(double.IsNaN(Table.BrightnessKelvin(0)));
        Assert.True(double.IsNaN(Table.BrightnessKelvin(1e4)));
        Assert.True(double.IsNaN(Table.BrightnessKelvin(double.NaN)));
    }

    /// <summary>What the camera would see is made by the kernel that is held against published values, then turned back.</summary>
    [Theory]
    [InlineData(296, 1)]
    [InlineData(305, 1)]
    [InlineData(318, 0)]
    [InlineData(303, 0.4)]
    public void Of_WhatACameraWouldSee_IsTheSurface(double kelvin, double foliage)
    {
        ThermalAir air = new(24, 0.6);
        double emissivity = 0.955 + (0.03 * foliage);
        double sky = ThermalRadiance.BrightnessKelvin(
            air.SkyShare * ThermalRadiance.OfBlackBody(air.AirKelvin, Band),
            Band
        );
        double around = ThermalRadiance.BrightnessKelvin(
            0.5 * (ThermalRadiance.OfBlackBody(sky, Band) + ThermalRadiance.OfBlackBody(air.AirKelvin, Band)),
            Band
        );
        double seen = ThermalRadiance.BrightnessKelvin(
            ThermalRadiance.AtSensor(
                kelvin,
                new ThermalScene(emissivity, around, air.Transmittance(70), air.AirKelvin),
                Band
            ),
            Band
        );
        (double found, double sigma) = new SurfaceTemperature(air, Table).Of(seen, foliage, 70);
        Assert.Equal(kelvin, found, 2e-3);
        Assert.InRange(sigma, 0.02, 1.5);
        Assert.True(Math.Abs(kelvin - seen) > 0.05, "nothing had to be turned back");
    }

    [Fact]
    public void ThermalAir_DampAir_HasAWarmerSkyAndTakesMore()
    {
        ThermalAir dry = new(25, 0.2);
        ThermalAir damp = new(25, 0.9);
        Assert.InRange(dry.SkyShare, 0.24, damp.SkyShare);
        Assert.True(damp.TakenPerMetre > dry.TakenPerMetre);
        Assert.InRange(damp.Transmittance(65), 0.94, dry.Transmittance(65));
    }
}
