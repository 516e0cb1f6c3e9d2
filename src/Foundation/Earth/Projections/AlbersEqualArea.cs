using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>Albers' equal-area conical projection with two standard parallels.</summary>
/// <remarks>Source: IOGP 373-7-2, method 9822; J. P. Snyder 1987, USGS PP 1395, eqs 14-1 … 14-21.</remarks>
public sealed class AlbersEqualArea : Projection
{
    private readonly double eccentricity;
    private readonly double cone;
    private readonly double constant;
    private readonly double originRadius;

    public AlbersEqualArea(Ellipsoid ellipsoid, ProjectionParameters parameters)
        : base(ellipsoid, parameters)
    {
        eccentricity = ellipsoid.Eccentricity;
        double first = parameters.FirstParallelDegrees * (Math.PI / 180);
        double second = parameters.SecondParallelDegrees * (Math.PI / 180);
        double firstRing = RingSquared(first);
        double firstQ = AuthalicLatitude.QOf(Math.Sin(first), eccentricity);
        double secondQ = AuthalicLatitude.QOf(Math.Sin(second), eccentricity);
        cone =
            Math.Abs(first - second) < 1e-10 ? Math.Sin(first) : (firstRing - RingSquared(second)) / (secondQ - firstQ);
        if (!(Math.Abs(cone) > 1e-6) || !double.IsFinite(cone))
        {
            throw new ArgumentException("The standard parallels do not define a cone.", nameof(parameters));
        }

        constant = firstRing + (cone * firstQ);
        originRadius = RadiusAt(parameters.OriginLatitudeDegrees * (Math.PI / 180));
    }

    public override GridPoint Forward(GeographicPoint place)
    {
        double distance = RadiusAt(place.Latitude.Radians);
        (double sine, double cosine) = Math.SinCos(cone * LongitudeFromCentre(place.Longitude));
        return new(FalseEasting + (distance * sine), FalseNorthing + originRadius - (distance * cosine));
    }

    public override GeographicPoint Inverse(GridPoint point)
    {
        double sign = Math.Sign(cone);
        double x = sign * (point.EastingMetres - FalseEasting);
        double y = sign * (originRadius - (point.NorthingMetres - FalseNorthing));
        double distance = Math.Sqrt((x * x) + (y * y)) * cone / Ellipsoid.SemiMajorAxisMetres;
        double q = (constant - (distance * distance)) / cone;
        return PlaceAt(AuthalicLatitude.LatitudeOf(q, eccentricity), Math.Atan2(x, y) / cone);
    }

    /// <summary>The scale is that of the meridian; that of the parallel is its inverse.</summary>
    public override GridDistortion DistortionAt(GeographicPoint place)
    {
        double latitude = place.Latitude.Radians;
        double alongParallel =
            RadiusAt(latitude) * cone / (Ellipsoid.SemiMajorAxisMetres * Math.Sqrt(RingSquared(latitude)));
        return new(Angle.FromRadians(cone * LongitudeFromCentre(place.Longitude)), 1 / alongParallel);
    }

    private double RadiusAt(double latitude) =>
        Ellipsoid.SemiMajorAxisMetres
        * Math.Sqrt(Math.Max(0, constant - (cone * AuthalicLatitude.QOf(Math.Sin(latitude), eccentricity))))
        / cone;

    private double RingSquared(double latitude)
    {
        (double sine, double cosine) = Math.SinCos(latitude);
        return cosine * cosine / (1 - (eccentricity * eccentricity * sine * sine));
    }
}
