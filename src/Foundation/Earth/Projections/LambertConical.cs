using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>Lambert's conformal conical projection with one standard parallel and a scale, or with two parallels.</summary>
/// <remarks>Source: IOGP 373-7-2, methods 9801 and 9802, with the isometric latitude in Karney's tangent form.</remarks>
public sealed class LambertConical : Projection
{
    private readonly double eccentricity;
    private readonly double cone;
    private readonly double radius;
    private readonly double originRadius;

    public LambertConical(Ellipsoid ellipsoid, ProjectionParameters parameters)
        : base(ellipsoid, parameters)
    {
        eccentricity = ellipsoid.Eccentricity;
        double a = ellipsoid.SemiMajorAxisMetres;
        double origin = parameters.OriginLatitudeDegrees * (Math.PI / 180);
        bool two = parameters.Method == ProjectionMethod.LambertConicalTwoParallels;
        double first = two ? parameters.FirstParallelDegrees * (Math.PI / 180) : origin;
        double second = two ? parameters.SecondParallelDegrees * (Math.PI / 180) : origin;
        double isometricFirst = ConformalLatitude.IsometricOf(first, eccentricity);
        double ringFirst = Ring(first);
        cone =
            Math.Abs(first - second) < 1e-10
                ? Math.Sin(first)
                : (Math.Log(ringFirst) - Math.Log(Ring(second)))
                    / (ConformalLatitude.IsometricOf(second, eccentricity) - isometricFirst);
        if (!(Math.Abs(cone) > 1e-6) || Math.Abs(cone) >= 1 - 1e-12 || !double.IsFinite(cone))
        {
            throw new ArgumentException("The standard parallels do not define a cone.", nameof(parameters));
        }

        double scale = two ? 1 : parameters.Scale;
        radius = scale * a * ringFirst / cone * Math.Exp(cone * isometricFirst);
        originRadius = radius * Math.Exp(-cone * ConformalLatitude.IsometricOf(origin, eccentricity));
    }

    public override GridPoint Forward(GeographicPoint place)
    {
        double distance =
            radius * Math.Exp(-cone * ConformalLatitude.IsometricOf(place.Latitude.Radians, eccentricity));
        (double sine, double cosine) = Math.SinCos(cone * LongitudeFromCentre(place.Longitude));
        return new(FalseEasting + (distance * sine), FalseNorthing + originRadius - (distance * cosine));
    }

    public override GeographicPoint Inverse(GridPoint point)
    {
        // A southern cone has negative radii: turn both axes so that the angle is measured from the central meridian.
        double sign = Math.Sign(cone);
        double x = sign * (point.EastingMetres - FalseEasting);
        double y = sign * (originRadius - (point.NorthingMetres - FalseNorthing));
        double distance = sign * Math.Sqrt((x * x) + (y * y));
        double isometric = -Math.Log(distance / radius) / cone;
        return PlaceAt(ConformalLatitude.LatitudeOf(isometric, eccentricity), Math.Atan2(x, y) / cone);
    }

    public override GridDistortion DistortionAt(GeographicPoint place)
    {
        double latitude = place.Latitude.Radians;
        double distance = radius * Math.Exp(-cone * ConformalLatitude.IsometricOf(latitude, eccentricity));
        return new(
            Angle.FromRadians(cone * LongitudeFromCentre(place.Longitude)),
            distance * cone / (Ellipsoid.SemiMajorAxisMetres * Ring(latitude))
        );
    }

    /// <summary>Radius of a parallel over the semi-major axis.</summary>
    private double Ring(double latitude)
    {
        (double sine, double cosine) = Math.SinCos(latitude);
        return cosine / Math.Sqrt(1 - (eccentricity * eccentricity * sine * sine));
    }
}
