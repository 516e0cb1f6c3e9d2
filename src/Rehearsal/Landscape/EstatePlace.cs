using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>Where on the earth the modelled estate lies: joins its local frame with maps and satellite positions.</summary>
public sealed class EstatePlace
{
    private readonly TransverseMercator projection;

    /// <param name="origin">Of the local frame; its height is that of local up = 0.</param>
    public EstatePlace(GeodeticPosition origin)
    {
        Frame = new LocalFrame(origin);
        Zone = UtmZone.Of(new GeographicPoint(origin.Latitude, origin.Longitude));
        projection = TransverseMercator.Utm(Zone.Number, Zone.North);
    }

    /// <summary>An invented inland valley, 1,180 m above the ellipsoid.</summary>
    public static EstatePlace InventedValley { get; } = new(GeodeticPosition.FromDegrees(-14.2371, -57.4862, 1180));

    public LocalFrame Frame { get; }

    public UtmZone Zone { get; }

    public GeodeticPosition ToGeodetic(Vector3D localMetres) => Frame.ToGeodetic(localMetres);

    public Vector3D ToLocal(GeodeticPosition place) => Frame.ToLocal(place);

    /// <summary>Map place of a local point; its height above the ellipsoid comes with <see cref="ToGeodetic"/>.</summary>
    public GridPoint ToMap(Vector3D localMetres)
    {
        GeodeticPosition place = Frame.ToGeodetic(localMetres);
        return projection.Forward(new GeographicPoint(place.Latitude, place.Longitude));
    }

    /// <summary>Local point of a map place at a height above the ellipsoid.</summary>
    public Vector3D ToLocal(GridPoint map, double heightAboveEllipsoidMetres) =>
        Frame.ToLocal(projection.Inverse(map).AtHeightAboveEllipsoid(heightAboveEllipsoidMetres));
}
