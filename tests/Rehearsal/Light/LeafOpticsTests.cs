using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed class LeafOpticsTests
{
    [Fact]
    public void Green_AnyChlorophyll_KeepsEnergyAndDarkensWithPigment()
    {
        foreach (RigBand band in RigBand.Five)
        {
            double before = double.MaxValue;
            for (double chlorophyll = 5; chlorophyll <= 80; chlorophyll += 5)
            {
                LeafReflection leaf = LeafOptics.Green(band, chlorophyll);
                Assert.InRange(leaf.Reflectance, 0.01, 0.6);
                Assert.InRange(leaf.Transmittance, 0, 0.6);
                Assert.True(leaf.Reflectance + leaf.Transmittance < 1);
                Assert.True(leaf.Reflectance < before);
                before = leaf.Reflectance;
            }
        }
    }

    [Fact]
    public void Green_HealthyLeaf_HasTheShapeOfAGreenLeaf()
    {
        double[] reflectance = [.. RigBand.Five.Select(band => LeafOptics.Green(band, 50).Reflectance)];
        Assert.True(reflectance[1] > reflectance[0] && reflectance[1] > reflectance[2]);
        Assert.True(reflectance[3] > 1.5 * reflectance[1]);
        Assert.InRange(reflectance[4], 0.42, 0.55);
    }

    [Fact]
    public void AngularFactor_LookingDownUnderSunAt45_IsOne()
    {
        Vector3D sun = new(Math.Sqrt(0.5), 0, Math.Sqrt(0.5));
        for (int material = 0; material < 7; material++)
        {
            GroundReflectance ground = GroundReflectance.Of((GroundMaterial)material, 2);
            Assert.Equal(1, ground.AngularFactor(sun, new Vector3D(0, 0, 1)), 1e-9);
        }
    }

    [Fact]
    public void AngularFactor_TowardsTheSun_IsBrighterThanAway()
    {
        Vector3D sun = new(0.6, 0, 0.8);
        GroundReflectance ground = GroundReflectance.Of(GroundMaterial.Soil, 2);
        double back = ground.AngularFactor(sun, sun);
        double away = ground.AngularFactor(sun, new Vector3D(-0.6, 0, 0.8));
        Assert.True(back > 1.2 * away);
    }

    [Fact]
    public void Of_ClearSky_DirectFallsAndDiffuseShareRisesWithHaze()
    {
        BandIrradiance clear = new ClearSky(0.05, 1.3, 0.87).Of(RigBand.Five[1], 35, 100);
        BandIrradiance hazy = new ClearSky(0.4, 1.3, 0.87).Of(RigBand.Five[1], 35, 100);
        Assert.True(hazy.DirectHorizontal < clear.DirectHorizontal);
        Assert.True(hazy.Diffuse / hazy.Total > 1.5 * clear.Diffuse / clear.Total);
        Assert.InRange(clear.Total, 1.1, 1.5);
    }
}
