using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>A place on WGS 84 with its height above the ellipsoid.</summary>
/// <param name="Latitude">Geodetic latitude, north positive, -90° … 90°.</param>
/// <param name="Longitude">Longitude, east positive.</param>
/// <param name="HeightAboveEllipsoidMetres">Not height above sea level: convert with <see cref="VerticalReference"/>.</param>
public readonly record struct GeodeticPosition(Angle Latitude, Angle Longitude, double HeightAboveEllipsoidMetres)
{
    public static GeodeticPosition FromDegrees(
        double latitudeDegrees,
        double longitudeDegrees,
        double heightAboveEllipsoidMetres
    ) => new(Angle.FromDegrees(latitudeDegrees), Angle.FromDegrees(longitudeDegrees), heightAboveEllipsoidMetres);
}
