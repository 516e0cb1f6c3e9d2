using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>Mercator of the ellipsoid, given by a scale at the equator (variant A) or a standard parallel (variant B).</summary>
/// <remarks>Source: IOGP 373-7-2, methods 9804 and 9805, with the isometric latitude in Karney's tangent form.</remarks>
public sealed class Mercator : Projection
{
    private readonly double eccentricity;
    private readonly double radius;
    private readonly double originNorthing;

    public Mercator(Ellipsoid ellipsoid, ProjectionParameters parameters)
        : base(ellipsoid, parameters)
    {
        eccentricity = ellipsoid.Eccentricity;
        double parallel = parameters.FirstParallelDegrees * (Math.PI / 180);
        double scale =
            parameters.Method == ProjectionMethod.MercatorWithParallel
                ? Math.Cos(parallel) * ellipsoid.PrimeVerticalRadiusMetres(parallel) / ellipsoid.SemiMajorAxisMetres
                : parameters.Scale;
        if (!(scale > 0))
        {
            throw new ArgumentException(
                FormattableString.Invariant($"Scale at the equator is {scale}; it must be above 0."),
                nameof(parameters)
            );
        }

        radius = ellipsoid.SemiMajorAxisMetres * scale;
        originNorthing =
            radius * ConformalLatitude.IsometricOf(parameters.OriginLatitudeDegrees * (Math.PI / 180), eccentricity);
    }

    public override GridPoint Forward(GeographicPoint place) =>
        new(
            FalseEasting + (radius * LongitudeFromCentre(place.Longitude)),
            FalseNorthing
                + (radius * ConformalLatitude.IsometricOf(place.Latitude.Radians, eccentricity))
                - originNorthing
        );

    public override GeographicPoint Inverse(GridPoint point) =>
        PlaceAt(
            ConformalLatitude.LatitudeOf(
                (point.NorthingMetres - FalseNorthing + originNorthing) / radius,
                eccentricity
            ),
            (point.EastingMetres - FalseEasting) / radius
        );

    public override GridDistortion DistortionAt(GeographicPoint place) =>
        new(Angle.Zero, radius / (Ellipsoid.PrimeVerticalRadiusMetres(place.Latitude.Radians) * place.Latitude.Cosine));
}
