using Xunit;

namespace Hillrow.Numerics.Tests;

public sealed class AngleTests
{
    [Fact]
    public void FromDegrees_RightAngle_IsHalfPi() => Assert.Equal(Math.PI / 2, Angle.FromDegrees(90).Radians, 15);

    [Fact]
    public void FromDegrees_Nan_Throws() =>
        Assert.Throws<ArgumentOutOfRangeException>(() => Angle.FromDegrees(double.NaN));

    [Theory]
    [InlineData(-10, 350)]
    [InlineData(370, 10)]
    [InlineData(360, 0)]
    public void WrappedPositive_AnyTurn_LandsIn0To360(double degrees, double wanted) =>
        Assert.Equal(wanted, Angle.FromDegrees(degrees).WrappedPositive().Degrees, 9);
}
