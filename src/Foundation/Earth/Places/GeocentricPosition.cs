using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>
/// A place in the earth-centred, earth-fixed frame: x through latitude 0 and longitude 0, z through the north pole.
/// </summary>
public readonly record struct GeocentricPosition(double XMetres, double YMetres, double ZMetres)
{
    /// <summary>Exact closed form; the height may be of any sign.</summary>
    public static GeocentricPosition From(GeodeticPosition place, Ellipsoid ellipsoid)
    {
        ArgumentNullException.ThrowIfNull(ellipsoid);
        (double sineLatitude, double cosineLatitude) = Math.SinCos(place.Latitude.Radians);
        (double sineLongitude, double cosineLongitude) = Math.SinCos(place.Longitude.Radians);
        double eccentricitySquared = ellipsoid.EccentricitySquared;
        double primeVertical =
            ellipsoid.SemiMajorAxisMetres / Math.Sqrt(1 - (eccentricitySquared * sineLatitude * sineLatitude));
        double ring = (primeVertical + place.HeightAboveEllipsoidMetres) * cosineLatitude;
        return new(
            ring * cosineLongitude,
            ring * sineLongitude,
            ((primeVertical * (1 - eccentricitySquared)) + place.HeightAboveEllipsoidMetres) * sineLatitude
        );
    }

    /// <summary>Latitude, longitude and height; on the polar axis the longitude is 0 by convention.</summary>
    /// <remarks>
    /// Bowring 1976, iterated on the reduced latitude until it stands still: below 1e-9 m and 1e-14 rad from
    /// 5,000 km below the surface to beyond the moon. The height form p·cos φ + z·sin φ − a·√(1 − e² sin² φ) stays exact
    /// at the poles.
    /// </remarks>
    public GeodeticPosition ToGeodetic(Ellipsoid ellipsoid)
    {
        ArgumentNullException.ThrowIfNull(ellipsoid);
        double a = ellipsoid.SemiMajorAxisMetres;
        double b = ellipsoid.SemiMinorAxisMetres;
        double eccentricitySquared = ellipsoid.EccentricitySquared;
        double secondEccentricitySquared = eccentricitySquared / (1 - eccentricitySquared);
        double ring = Math.Sqrt((XMetres * XMetres) + (YMetres * YMetres));
        double reduced = Math.Atan2(ZMetres, ring * (b / a));
        double latitude = 0;
        for (int pass = 0; pass < 12; pass++)
        {
            (double sine, double cosine) = Math.SinCos(reduced);
            latitude = Math.Atan2(
                ZMetres + (secondEccentricitySquared * b * sine * sine * sine),
                ring - (eccentricitySquared * a * cosine * cosine * cosine)
            );
            double next = Math.Atan2(b / a * Math.Sin(latitude), Math.Cos(latitude));
            double step = Math.Abs(next - reduced);
            reduced = next;
            if (step < 1e-16)
            {
                break;
            }
        }

        (double sineLatitude, double cosineLatitude) = Math.SinCos(latitude);
        double height =
            (ring * cosineLatitude)
            + (ZMetres * sineLatitude)
            - (a * Math.Sqrt(1 - (eccentricitySquared * sineLatitude * sineLatitude)));
        double longitude = ring > 0 ? Math.Atan2(YMetres, XMetres) : 0;
        return new(Angle.FromRadians(latitude), Angle.FromRadians(longitude), height);
    }

    public Vector3D ToVector() => new(XMetres, YMetres, ZMetres);

    public static GeocentricPosition From(Vector3D metres) => new(metres.X, metres.Y, metres.Z);
}
