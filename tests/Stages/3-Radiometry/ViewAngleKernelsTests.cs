using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Radiometry.Tests;

/// <summary>Properties that Lucht, Schaaf and Strahler 2000 state of the kernels.</summary>
public sealed class ViewAngleKernelsTests
{
    private static readonly Vector3D Up = new(0, 0, 1);

    [Fact]
    public void At_SunAndViewOverhead_GeometryAndSlantAreZero()
    {
        ViewAngleKernels kernels = ViewAngleKernels.At(Up, Up);
        Assert.Equal(0, kernels.Geometry, 9);
        Assert.Equal(0, kernels.Slant, 9);
    }

    [Fact]
    public void At_SunAndViewChangedOver_VolumeAndGeometryStay()
    {
        for (int azimuth = 0; azimuth <= 180; azimuth += 30)
        {
            Vector3D one = Direction(35, 0);
            Vector3D other = Direction(20, azimuth);
            ViewAngleKernels there = ViewAngleKernels.At(one, other);
            ViewAngleKernels back = ViewAngleKernels.At(other, one);
            Assert.Equal(there.Volume, back.Volume, 9);
            Assert.Equal(there.Geometry, back.Geometry, 9);
        }
    }

    [Fact]
    public void At_ViewFromTheSunsSide_IsBrighterThanAgainstIt()
    {
        Vector3D sun = Direction(40, 90);
        ViewAngleKernels with = ViewAngleKernels.At(sun, Direction(40, 90));
        ViewAngleKernels against = ViewAngleKernels.At(sun, Direction(40, 270));
        Assert.True(with.Volume > against.Volume);
        Assert.True(with.Geometry > against.Geometry);
        Assert.Equal(with.Slant, against.Slant, 9);
    }

    private static Vector3D Direction(double zenithDegrees, double azimuthDegrees)
    {
        Angle zenith = Angle.FromDegrees(zenithDegrees);
        Angle azimuth = Angle.FromDegrees(azimuthDegrees);
        return new Vector3D(zenith.Sine * azimuth.Sine, zenith.Sine * azimuth.Cosine, zenith.Cosine);
    }
}
