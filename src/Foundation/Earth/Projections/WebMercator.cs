using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>
/// The pseudo-Mercator of web maps: sphere formulas on ellipsoid coordinates. Not conformal; lengths at 20° latitude are
/// 6 % too long, areas 13 % too large: fit for looking, not for measuring.
/// </summary>
/// <remarks>Source: IOGP 373-7-2, method 1024.</remarks>
public sealed class WebMercator : Projection
{
    public WebMercator(Ellipsoid ellipsoid, ProjectionParameters parameters)
        : base(ellipsoid, parameters) { }

    private double Radius => Ellipsoid.SemiMajorAxisMetres;

    public override GridPoint Forward(GeographicPoint place) =>
        new(
            FalseEasting + (Radius * LongitudeFromCentre(place.Longitude)),
            FalseNorthing + (Radius * Math.Asinh(Math.Tan(place.Latitude.Radians)))
        );

    public override GeographicPoint Inverse(GridPoint point) =>
        PlaceAt(
            Math.Atan(Math.Sinh((point.NorthingMetres - FalseNorthing) / Radius)),
            (point.EastingMetres - FalseEasting) / Radius
        );

    /// <summary>The scale is that of the meridian; that of the parallel differs by up to 0.7 %.</summary>
    public override GridDistortion DistortionAt(GeographicPoint place) =>
        new(Angle.Zero, Radius / (Ellipsoid.MeridianRadiusMetres(place.Latitude.Radians) * place.Latitude.Cosine));
}
