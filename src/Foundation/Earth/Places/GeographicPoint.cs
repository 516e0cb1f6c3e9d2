using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>A place on an ellipsoid without a height; WGS 84 unless what holds it names another datum.</summary>
/// <param name="Latitude">Geodetic latitude, north positive, -90° … 90°.</param>
/// <param name="Longitude">Longitude, east positive.</param>
public readonly record struct GeographicPoint(Angle Latitude, Angle Longitude)
{
    public static GeographicPoint FromDegrees(double latitudeDegrees, double longitudeDegrees) =>
        new(Angle.FromDegrees(latitudeDegrees), Angle.FromDegrees(longitudeDegrees));

    public GeodeticPosition AtHeightAboveEllipsoid(double metres) => new(Latitude, Longitude, metres);

    public override string ToString() =>
        FormattableString.Invariant($"{Latitude.Degrees:0.########}°, {Longitude.Degrees:0.########}°");
}
