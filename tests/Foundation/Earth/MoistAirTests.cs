using Xunit;

namespace Hillrow.Earth.Tests;

/// <summary>Values of the FAO-56 paper's worked examples 3 and 4 and what follows from its equations.</summary>
public sealed class MoistAirTests
{
    [Theory]
    [InlineData(24.5, 3.0746)]
    [InlineData(15, 1.7053)]
    public void SaturationKilopascals_OfTheExample_IsItsValue(double celsius, double kilopascals) =>
        Assert.Equal(kilopascals, MoistAir.SaturationKilopascals(celsius), 5e-4);

    [Fact]
    public void DeficitKilopascals_At25DegreesAnd60Percent_Is1Point2671() =>
        Assert.Equal(1.2671, MoistAir.DeficitKilopascals(25, 0.6), 1e-4);

    [Fact]
    public void VapourAndDeficit_AreTheSaturationTogether() =>
        Assert.Equal(
            MoistAir.SaturationKilopascals(28),
            MoistAir.VapourKilopascals(28, 0.35) + MoistAir.DeficitKilopascals(28, 0.35),
            1e-12
        );

    // Saturated air at 20 °C holds 17.3 g (from memory, any table of physics).
    [Fact]
    public void GramsPerCubicMetre_SaturatedAt20Degrees_Is17() =>
        Assert.Equal(17.3, MoistAir.GramsPerCubicMetre(20, 1), 0.1);
}
