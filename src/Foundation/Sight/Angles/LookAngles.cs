using Hillrow.Numerics;

namespace Hillrow.Sight;

/// <summary>Directions at a place on the ground, as radiometry needs them.</summary>
/// <param name="ViewZenith">From the vertical to the camera, 0° … 180°.</param>
/// <param name="ViewAzimuth">From the ground towards the camera, clockwise from north, 0° … 360°.</param>
/// <param name="SunZenith">From the vertical to the sun.</param>
/// <param name="RelativeAzimuth">Between camera and sun as seen from the ground, 0° (camera on the sun's side) … 180°.</param>
/// <param name="Phase">Between the directions to camera and sun; 0° is the hot spot.</param>
/// <param name="SunIncidence">Between the sun and the surface's normal; above 90° the facet is in its own shade.</param>
/// <param name="ViewIncidence">Between the camera and the surface's normal.</param>
public readonly record struct LookAngles(
    Angle ViewZenith,
    Angle ViewAzimuth,
    Angle SunZenith,
    Angle RelativeAzimuth,
    Angle Phase,
    Angle SunIncidence,
    Angle ViewIncidence
)
{
    /// <param name="placeLocalMetres">On the ground.</param>
    /// <param name="cameraLocalMetres">Projection centre.</param>
    /// <param name="towardsSunLocal">Unit direction to the sun.</param>
    /// <param name="normalLocal">Unit normal of the surface, upwards.</param>
    public static LookAngles At(
        Vector3D placeLocalMetres,
        Vector3D cameraLocalMetres,
        Vector3D towardsSunLocal,
        Vector3D normalLocal
    )
    {
        Vector3D towardsCamera = (cameraLocalMetres - placeLocalMetres).Normalized();
        Angle viewAzimuth = AzimuthOf(towardsCamera);
        Angle difference = (viewAzimuth - AzimuthOf(towardsSunLocal)).WrappedSigned();
        Vector3D up = new(0, 0, 1);
        return new LookAngles(
            Between(towardsCamera, up),
            viewAzimuth,
            Between(towardsSunLocal, up),
            Angle.FromRadians(Math.Abs(difference.Radians)),
            Between(towardsCamera, towardsSunLocal),
            Between(towardsSunLocal, normalLocal),
            Between(towardsCamera, normalLocal)
        );
    }

    /// <summary>Unit direction to the sun from its zenith and azimuth (clockwise from north).</summary>
    public static Vector3D TowardsSun(Angle zenith, Angle azimuth) =>
        new(zenith.Sine * azimuth.Sine, zenith.Sine * azimuth.Cosine, zenith.Cosine);

    private static Angle AzimuthOf(Vector3D direction) =>
        Angle.FromRadians(Math.Atan2(direction.X, direction.Y)).WrappedPositive();

    /// <summary>Exact near 0° and 180°, where an arc cosine loses half the digits.</summary>
    private static Angle Between(Vector3D left, Vector3D right) =>
        Angle.FromRadians(Math.Atan2(Vector3D.Cross(left, right).Length, Vector3D.Dot(left, right)));
}
