using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>A map projection: places on one ellipsoid to a metric grid and back. No change of datum.</summary>
public abstract class Projection
{
    protected Projection(Ellipsoid ellipsoid, ProjectionParameters parameters)
    {
        ArgumentNullException.ThrowIfNull(ellipsoid);
        ArgumentNullException.ThrowIfNull(parameters);
        Ellipsoid = ellipsoid;
        Parameters = parameters;
    }

    public Ellipsoid Ellipsoid { get; }

    public ProjectionParameters Parameters { get; }

    protected double FalseEasting => Parameters.FalseEastingMetres;

    protected double FalseNorthing => Parameters.FalseNorthingMetres;

    protected double CentralMeridianRadians => Parameters.CentralMeridianDegrees * (Math.PI / 180);

    /// <exception cref="ArgumentException">The parameters do not define a projection.</exception>
    public static Projection Create(Ellipsoid ellipsoid, ProjectionParameters parameters)
    {
        ArgumentNullException.ThrowIfNull(parameters);
        return parameters.Method switch
        {
            ProjectionMethod.TransverseMercator => new TransverseMercator(ellipsoid, parameters),
            ProjectionMethod.LambertConicalOneParallel or ProjectionMethod.LambertConicalTwoParallels =>
                new LambertConical(ellipsoid, parameters),
            ProjectionMethod.MercatorWithScale or ProjectionMethod.MercatorWithParallel => new Mercator(
                ellipsoid,
                parameters
            ),
            ProjectionMethod.WebMercator => new WebMercator(ellipsoid, parameters),
            ProjectionMethod.AlbersEqualArea => new AlbersEqualArea(ellipsoid, parameters),
            _ => throw new ArgumentException($"No projection method {parameters.Method}.", nameof(parameters)),
        };
    }

    /// <summary>Eastings and northings of a place; far outside the projection's use they may be infinite.</summary>
    public abstract GridPoint Forward(GeographicPoint place);

    /// <summary>The place of an easting and northing; the longitude comes back in [-180°, 180°).</summary>
    public abstract GeographicPoint Inverse(GridPoint point);

    /// <summary>Convergence and scale of the grid at a place.</summary>
    public abstract GridDistortion DistortionAt(GeographicPoint place);

    /// <summary>Longitude less the central meridian, in [-π, π).</summary>
    protected double LongitudeFromCentre(Angle longitude)
    {
        double difference = longitude.Radians - CentralMeridianRadians;
        return difference - (Math.Tau * Math.Floor((difference + Math.PI) / Math.Tau));
    }

    protected GeographicPoint PlaceAt(double latitudeRadians, double longitudeFromCentreRadians) =>
        new(
            Angle.FromRadians(latitudeRadians),
            Angle.FromRadians(longitudeFromCentreRadians + CentralMeridianRadians).WrappedSigned()
        );
}

/// <summary>What a projection does to directions and lengths at one place.</summary>
/// <param name="Convergence">Bearing of grid north: clockwise from true north, positive east.</param>
/// <param name="Scale">Grid length over ellipsoid length; along the meridian where it depends on direction.</param>
public readonly record struct GridDistortion(Angle Convergence, double Scale);
