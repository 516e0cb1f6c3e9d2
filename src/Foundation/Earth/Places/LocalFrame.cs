using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>
/// East-north-up metres on the plane that touches the WGS 84 ellipsoid's level surface at an origin: the frame of a
/// survey's poses and points. Exact at any distance (a rotated earth-centred frame, not an approximation), but "up" is
/// the origin's: 1 km away the true vertical leans 0.009° and the level surface lies 8 cm below the plane.
/// </summary>
public sealed class LocalFrame
{
    private readonly Vector3D originGeocentric;

    public LocalFrame(GeodeticPosition origin)
        : this(origin, Ellipsoid.Wgs84) { }

    public LocalFrame(GeodeticPosition origin, Ellipsoid ellipsoid)
    {
        ArgumentNullException.ThrowIfNull(ellipsoid);
        Origin = origin;
        Ellipsoid = ellipsoid;
        originGeocentric = GeocentricPosition.From(origin, ellipsoid).ToVector();
        LocalFromGeocentric = AxesAt(origin.Latitude, origin.Longitude);
        GeocentricFromLocal = LocalFromGeocentric.Transposed();
    }

    public GeodeticPosition Origin { get; }

    public Ellipsoid Ellipsoid { get; }

    /// <summary>Turns an earth-centred direction into east-north-up; its rows are the east, north and up directions.</summary>
    public Matrix3D LocalFromGeocentric { get; }

    /// <summary>Turns an east-north-up direction into an earth-centred one.</summary>
    public Matrix3D GeocentricFromLocal { get; }

    /// <summary>East, north, up in metres from the origin.</summary>
    public Vector3D ToLocal(GeodeticPosition place) => ToLocal(GeocentricPosition.From(place, Ellipsoid));

    /// <summary>East, north, up in metres from the origin.</summary>
    public Vector3D ToLocal(GeocentricPosition place) => LocalFromGeocentric * (place.ToVector() - originGeocentric);

    /// <param name="eastNorthUpMetres">X east, Y north, Z up, metres from the origin.</param>
    public GeodeticPosition ToGeodetic(Vector3D eastNorthUpMetres) =>
        ToGeocentric(eastNorthUpMetres).ToGeodetic(Ellipsoid);

    /// <param name="eastNorthUpMetres">X east, Y north, Z up, metres from the origin.</param>
    public GeocentricPosition ToGeocentric(Vector3D eastNorthUpMetres) =>
        GeocentricPosition.From(originGeocentric + (GeocentricFromLocal * eastNorthUpMetres));

    /// <summary>
    /// Turns a direction given in the east-north-up axes of another place (where an attitude was measured) into this
    /// frame's axes.
    /// </summary>
    public Matrix3D FromAxesAt(GeographicPoint place) =>
        LocalFromGeocentric * AxesAt(place.Latitude, place.Longitude).Transposed();

    private static Matrix3D AxesAt(Angle latitude, Angle longitude)
    {
        (double sineLatitude, double cosineLatitude) = Math.SinCos(latitude.Radians);
        (double sineLongitude, double cosineLongitude) = Math.SinCos(longitude.Radians);
        return new(
            -sineLongitude,
            cosineLongitude,
            0,
            -sineLatitude * cosineLongitude,
            -sineLatitude * sineLongitude,
            cosineLatitude,
            cosineLatitude * cosineLongitude,
            cosineLatitude * sineLongitude,
            sineLatitude
        );
    }
}
