using Xunit;

namespace Hillrow.Imaging.Tests;

public sealed class CoverShareTests
{
    [Theory]
    [InlineData(0.2f, 0.3f, 0f)]
    [InlineData(0.1f, 0.4f, 0.5f)]
    [InlineData(0.03f, 0.4f, 1f)]
    [InlineData(float.NaN, 0.4f, 0.5f)]
    [InlineData(0f, 0f, 0.5f)]
    public void Of_RedAndInfrared_IsAStraightLineOfNdvi(float red, float infrared, float expected) =>
        Assert.Equal(expected, CoverShare.Of(red, infrared), 1e-5f);

    [Fact]
    public void BandsOf_FiveBands_AreTheNearest() =>
        Assert.Equal((2, 4), CoverShare.BandsOf([475, 560, 668, 717, 842]));

    [Theory]
    [InlineData(460, 550, 620)]
    [InlineData(560, 842, 900)]
    [InlineData(475, 560, 900)]
    public void BandsOf_WithoutRedOrInfrared_IsNull(double one, double two, double three) =>
        Assert.Null(CoverShare.BandsOf([one, two, three]));

    [Fact]
    public void At_HalfCanopy_LiesBetween() => Assert.Equal(1.05, new CoverFactors(1.2, 0.9).At(0.5), 12);
}
