using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>From what a tilted irradiance sensor measures to the irradiance of level ground.</summary>
/// <param name="Incidence">Angle between the sun and the sensor's normal.</param>
/// <param name="SensorNormalEnu">Unit vector, east-north-up.</param>
/// <param name="DirectNormal">Direct light on a surface facing the sun, in the sensor's unit.</param>
/// <param name="Horizontal">Direct and diffuse light on level ground, in the sensor's unit.</param>
/// <param name="Correction">Horizontal / measured.</param>
/// <remarks>
/// E(sensor) = E(direct) (cos i + d), E(level) = E(direct) (cos z + d), d the diffuse share of the direct normal light.
/// Simplification: the sky is taken as even, and the sensor's view of it as unchanged by its small tilt.
/// </remarks>
public sealed record TiltedIrradiance(
    Angle Incidence,
    Vector3D SensorNormalEnu,
    double DirectNormal,
    double Horizontal,
    double Correction
)
{
    /// <param name="measured">What the sensor told, 0 or more.</param>
    /// <param name="sensor">How the sensor is turned: aircraft attitude, mount included.</param>
    /// <param name="sunZenith">0° overhead.</param>
    /// <param name="sunAzimuth">Clockwise from north.</param>
    /// <param name="diffuseToDirectNormal">0 or more.</param>
    /// <returns>NaN when neither sun nor sky reach the sensor.</returns>
    public static TiltedIrradiance Of(
        double measured,
        Attitude sensor,
        Angle sunZenith,
        Angle sunAzimuth,
        double diffuseToDirectNormal
    )
    {
        // The sensor looks opposite to the camera.
        Vector3D normal = -sensor.EnuToCamera().Row3;
        Vector3D sun = new(sunZenith.Sine * sunAzimuth.Sine, sunZenith.Sine * sunAzimuth.Cosine, sunZenith.Cosine);
        double cosine = Vector3D.Dot(normal, sun);
        double lit = Math.Max(0, cosine) + diffuseToDirectNormal;
        double direct = lit > 0 ? measured / lit : double.NaN;
        double horizontal = direct * (Math.Max(0, sunZenith.Cosine) + diffuseToDirectNormal);
        return new TiltedIrradiance(
            Angle.FromRadians(Math.Atan2(Vector3D.Cross(normal, sun).Length, cosine)),
            normal,
            direct,
            horizontal,
            horizontal / measured
        );
    }
}
