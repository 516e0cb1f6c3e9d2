using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>The up-looking light sensor: tilted with the aircraft, not quite a cosine, not quite calibrated, noisy.</summary>
/// <param name="MountRollDegrees">Tilt of the sensor against the rig, towards the right wing.</param>
/// <param name="MountPitchDegrees">Tilt towards the tail.</param>
/// <param name="CosineLoss">Share lost at grazing light: response is cos θ (1 − loss (1 − cos θ)).</param>
/// <param name="Gains">True response over the calibrated one, by band.</param>
/// <param name="NoiseShare">Standard deviation of a reading, as a share.</param>
public sealed record IrradianceSensor(
    double MountRollDegrees,
    double MountPitchDegrees,
    double CosineLoss,
    IReadOnlyList<double> Gains,
    double NoiseShare
)
{
    public static IrradianceSensor Build(ulong seed)
    {
        SplittableRandom draw = new SplittableRandom(seed).Split("irradiance");
        return new IrradianceSensor(
            1.1 * draw.NextGaussian(),
            1.1 * draw.NextGaussian(),
            draw.NextDouble(0.03, 0.09),
            [.. RigBand.Five.Select(_ => 1 + (0.015 * draw.NextGaussian()))],
            0.004
        );
    }

    /// <summary>Reading in a band, W m⁻² nm⁻¹, on the tilted sensor.</summary>
    /// <param name="groundHeightMetres">Height of the ground at east and north: where the beam goes on to tells its cloud.</param>
    public double Read(
        int band,
        LightState light,
        RigPose pose,
        Func<double, double, double> groundHeightMetres,
        double seconds,
        SplittableRandom draw
    )
    {
        ArgumentNullException.ThrowIfNull(light);
        ArgumentNullException.ThrowIfNull(groundHeightMetres);
        ArgumentNullException.ThrowIfNull(draw);
        double roll = MountRollDegrees * Math.PI / 180;
        double pitch = MountPitchDegrees * Math.PI / 180;
        // Rig axes: x right, y tail, z down; the sensor's normal points up, leaning with its mount.
        Vector3D normal = (
            pose.RigToLocal() * new Vector3D(Math.Sin(roll), Math.Sin(pitch), -Math.Cos(roll) * Math.Cos(pitch))
        ).Normalized();
        double cosine = Math.Max(0, Vector3D.Dot(normal, light.TowardsSun));
        double response = cosine * (1 - (CosineLoss * (1 - cosine)));
        BandIrradiance irradiance = light.Bands[band];
        // The beam that meets the aircraft lands further along, so its cloud is not the one below; the slope there
        // takes a few steps to settle.
        (double east, double north) = (pose.PositionMetres.X, pose.PositionMetres.Y);
        for (int step = 0; step < 4; step++)
        {
            double height = pose.PositionMetres.Z - groundHeightMetres(east, north);
            east = pose.PositionMetres.X - (height * light.TowardsSun.X / light.TowardsSun.Z);
            north = pose.PositionMetres.Y - (height * light.TowardsSun.Y / light.TowardsSun.Z);
        }

        double direct = irradiance.DirectNormal * response * light.Clouds.BeamShare(east, north, seconds);
        double sky =
            irradiance.Diffuse * light.Clouds.SkyFactor(seconds) * 0.5 * (1 + normal.Z) * (1 - (CosineLoss / 3));
        return Gains[band] * (direct + sky) * (1 + (NoiseShare * draw.NextGaussian()));
    }
}
