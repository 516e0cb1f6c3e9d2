using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Planning;

/// <summary>A place of the plan as the world names it, with its height in every way a pilot may need.</summary>
/// <param name="LatitudeDegrees">WGS 84.</param>
/// <param name="LongitudeDegrees">WGS 84.</param>
/// <param name="EllipsoidMetres">Above the WGS 84 ellipsoid.</param>
/// <param name="SeaLevelMetres">Above sea level (EGM96 geoid).</param>
/// <param name="AboveHomeMetres">Above the ground at the sortie's home.</param>
public readonly record struct WorldPlace(
    double LatitudeDegrees,
    double LongitudeDegrees,
    double EllipsoidMetres,
    double SeaLevelMetres,
    double AboveHomeMetres
);

/// <summary>Turns the plan's local places into latitude, longitude and heights.</summary>
public sealed class PlanPlaces(LocalFrame frame)
{
    /// <param name="place">In plan.</param>
    /// <param name="upMetres">Local up.</param>
    /// <param name="home">Home, for the height above it; null gives 0.</param>
    public WorldPlace Of(PlanPoint place, double upMetres, Sortie? home = null)
    {
        GeodeticPosition at = frame.ToGeodetic(new Vector3D(place.EastMetres, place.NorthMetres, upMetres));
        double seaLevel = Height
            .AboveEllipsoid(at.HeightAboveEllipsoidMetres)
            .OrthometricMetres(new GeographicPoint(at.Latitude, at.Longitude), GeoidModel.Egm96);
        // Along the ellipsoid's normal, so that the earth's bend between home and here does not count as height.
        double aboveHome = home is null
            ? 0
            : at.HeightAboveEllipsoidMetres
                - frame
                    .ToGeodetic(
                        new Vector3D(home.Home.Place.EastMetres, home.Home.Place.NorthMetres, home.HomeUpMetres)
                    )
                    .HeightAboveEllipsoidMetres;
        return new WorldPlace(
            at.Latitude.Degrees,
            at.Longitude.Degrees,
            at.HeightAboveEllipsoidMetres,
            seaLevel,
            aboveHome
        );
    }
}
