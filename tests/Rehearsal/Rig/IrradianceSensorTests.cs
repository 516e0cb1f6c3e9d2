using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed class IrradianceSensorTests
{
    [Fact]
    public void Read_PerfectLevelSensor_IsTotalIrradiance()
    {
        LightState light = SmallEstate.Scene.Light;
        IrradianceSensor sensor = new(0, 0, 0, [1, 1, 1, 1, 1], 0);
        RigPose level = new(new Vector3D(0, 0, 60), 77, 0, 0);
        for (int band = 0; band < 5; band++)
        {
            Assert.Equal(
                light.Bands[band].Total,
                sensor.Read(band, light, level, Flat, 0, new SplittableRandom(1)),
                1e-9
            );
        }
    }

    [Fact]
    public void Read_TiltedTowardsTheSun_ReadsMore()
    {
        LightState light = SmallEstate.Scene.Light;
        IrradianceSensor sensor = new(0, 0, 0, [1, 1, 1, 1, 1], 0);
        // The sun stands at azimuth 40°: flying that way, the nose must go down for the sensor to face it.
        double facing = sensor.Read(2, light, new RigPose(Vector3D.Zero, 40, -10, 0), Flat, 0, new SplittableRandom(1));
        double turned = sensor.Read(2, light, new RigPose(Vector3D.Zero, 40, 10, 0), Flat, 0, new SplittableRandom(1));
        Assert.True(facing > light.Bands[2].Total);
        Assert.True(turned < light.Bands[2].Total);
    }

    private static double Flat(double east, double north) => 0;
}
