using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>
/// Transverse Mercator of the ellipsoid by Krüger's series to the sixth order in the third flattening.
/// </summary>
/// <remarks>
/// Accuracy: below 10 nm within 3,900 km of the central meridian (Karney 2011); here checked against GeographicLib and
/// PROJ to 0.1 mm and better, tests/Reference/geodesy/utm.json. Within 5° of the two points on the equator 90° from the
/// central meridian the series does not converge.
/// Source: L. Krüger 1912; coefficients and scale as in C. F. F. Karney 2011, J. Geodesy 85:475–485, eqs 11–41,
/// DOI 10.1007/s00190-011-0445-3.
/// </remarks>
public sealed class TransverseMercator : Projection
{
    private const int Order = 6;

    private readonly double[] alpha = new double[Order + 1];
    private readonly double[] beta = new double[Order + 1];
    private readonly double eccentricity;
    private readonly double rectifyingRadius;
    private readonly double scaledRadius;
    private readonly double originNorthing;

    public TransverseMercator(Ellipsoid ellipsoid, ProjectionParameters parameters)
        : base(ellipsoid, parameters)
    {
        if (!(parameters.Scale > 0))
        {
            throw new ArgumentException(
                FormattableString.Invariant(
                    $"Scale at the central meridian is {parameters.Scale}; it must be above 0."
                ),
                nameof(parameters)
            );
        }

        eccentricity = ellipsoid.Eccentricity;
        FillSeries(ellipsoid.ThirdFlattening);
        double n2 = ellipsoid.ThirdFlattening * ellipsoid.ThirdFlattening;
        rectifyingRadius =
            ellipsoid.SemiMajorAxisMetres
            / (1 + ellipsoid.ThirdFlattening)
            * (1 + (n2 * (0.25 + (n2 * ((1.0 / 64) + (n2 / 256))))));
        scaledRadius = parameters.Scale * rectifyingRadius;
        originNorthing =
            parameters.OriginLatitudeDegrees == 0 ? 0 : RawNorthing(parameters.OriginLatitudeDegrees * (Math.PI / 180));
    }

    /// <summary>UTM of a zone 1 … 60 on WGS 84.</summary>
    public static TransverseMercator Utm(int zone, bool north) =>
        new(Ellipsoid.Wgs84, ProjectionParameters.Utm(zone, north));

    public override GridPoint Forward(GeographicPoint place)
    {
        (double xi, double eta) = SphericalAngles(place);
        Sum(alpha, xi, eta, out double sumXi, out double sumEta, out _, out _);
        return new(
            FalseEasting + (scaledRadius * (eta + sumEta)),
            FalseNorthing + (scaledRadius * (xi + sumXi)) - originNorthing
        );
    }

    public override GeographicPoint Inverse(GridPoint point)
    {
        double xi = (point.NorthingMetres - FalseNorthing + originNorthing) / scaledRadius;
        double eta = (point.EastingMetres - FalseEasting) / scaledRadius;
        Sum(beta, xi, eta, out double sumXi, out double sumEta, out _, out _);
        xi -= sumXi;
        eta -= sumEta;
        (double sineXi, double cosineXi) = Math.SinCos(xi);
        double sinhEta = Math.Sinh(eta);
        double conformalTangent = sineXi / Math.Sqrt((sinhEta * sinhEta) + (cosineXi * cosineXi));
        double latitude = Math.Atan(ConformalLatitude.GeodeticTangentOf(conformalTangent, eccentricity));
        return PlaceAt(latitude, Math.Atan2(sinhEta, cosineXi));
    }

    public override GridDistortion DistortionAt(GeographicPoint place)
    {
        (double xi, double eta) = SphericalAngles(place);
        Sum(alpha, xi, eta, out _, out _, out double p, out double q);
        double longitude = LongitudeFromCentre(place.Longitude);
        double tangent = Math.Tan(place.Latitude.Radians);
        double conformal = ConformalLatitude.TangentOf(tangent, eccentricity);
        (double sineLongitude, double cosineLongitude) = Math.SinCos(longitude);
        double sphericalConvergence = Math.Atan2(
            conformal * sineLongitude,
            cosineLongitude * Math.Sqrt(1 + (conformal * conformal))
        );
        double sine = Math.Sin(place.Latitude.Radians);
        double sphericalScale =
            Math.Sqrt((1 - (eccentricity * eccentricity * sine * sine)) * (1 + (tangent * tangent)))
            / Math.Sqrt((conformal * conformal) + (cosineLongitude * cosineLongitude));
        double seriesScale = rectifyingRadius / Ellipsoid.SemiMajorAxisMetres * Math.Sqrt((p * p) + (q * q));
        return new(
            Angle.FromRadians(sphericalConvergence + Math.Atan2(q, p)),
            Parameters.Scale * sphericalScale * seriesScale
        );
    }

    /// <summary>Gauss–Schreiber angles ξ′ (north) and η′ (east) of a place.</summary>
    private (double Xi, double Eta) SphericalAngles(GeographicPoint place)
    {
        double conformal = ConformalLatitude.TangentOf(Math.Tan(place.Latitude.Radians), eccentricity);
        (double sine, double cosine) = Math.SinCos(LongitudeFromCentre(place.Longitude));
        return (
            Math.Atan2(conformal, cosine),
            Math.Asinh(sine / Math.Sqrt((conformal * conformal) + (cosine * cosine)))
        );
    }

    private double RawNorthing(double latitudeRadians)
    {
        double conformal = ConformalLatitude.TangentOf(Math.Tan(latitudeRadians), eccentricity);
        double xi = Math.Atan(conformal);
        Sum(alpha, xi, 0, out double sumXi, out _, out _, out _);
        return scaledRadius * (xi + sumXi);
    }

    /// <summary>
    /// Σ cⱼ·sin 2j(ξ + iη) as its real and imaginary part, and 1 + Σ 2j·cⱼ·cos 2j(ξ + iη) as p − iq, by powers of
    /// e^{2i(ξ+iη)} so that only one sine, cosine and exponential are computed.
    /// </summary>
    private static void Sum(
        double[] coefficients,
        double xi,
        double eta,
        out double sumXi,
        out double sumEta,
        out double p,
        out double q
    )
    {
        (double sine, double cosine) = Math.SinCos(2 * xi);
        double grow = Math.Exp(2 * eta);
        double cosh = 0.5 * (grow + (1 / grow));
        // sinh by its own function: the difference of exponentials loses the small angles near the central meridian.
        double sinh = Math.Sinh(2 * eta);
        double sineNow = sine;
        double cosineNow = cosine;
        double coshNow = cosh;
        double sinhNow = sinh;
        sumXi = 0;
        sumEta = 0;
        p = 1;
        q = 0;
        for (int j = 1; j <= Order; j++)
        {
            double c = coefficients[j];
            sumXi += c * sineNow * coshNow;
            sumEta += c * cosineNow * sinhNow;
            p += 2 * j * c * cosineNow * coshNow;
            q += 2 * j * c * sineNow * sinhNow;
            (sineNow, cosineNow) = ((sineNow * cosine) + (cosineNow * sine), (cosineNow * cosine) - (sineNow * sine));
            (sinhNow, coshNow) = ((sinhNow * cosh) + (coshNow * sinh), (coshNow * cosh) + (sinhNow * sinh));
        }
    }

    private void FillSeries(double n)
    {
        double n2 = n * n;
        double n3 = n2 * n;
        double n4 = n3 * n;
        double n5 = n4 * n;
        double n6 = n5 * n;
        alpha[1] = (n / 2) - (n2 * 2 / 3) + (n3 * 5 / 16) + (n4 * 41 / 180) - (n5 * 127 / 288) + (n6 * 7891 / 37800);
        alpha[2] = (n2 * 13 / 48) - (n3 * 3 / 5) + (n4 * 557 / 1440) + (n5 * 281 / 630) - (n6 * 1983433 / 1935360);
        alpha[3] = (n3 * 61 / 240) - (n4 * 103 / 140) + (n5 * 15061 / 26880) + (n6 * 167603 / 181440);
        alpha[4] = (n4 * 49561 / 161280) - (n5 * 179 / 168) + (n6 * 6601661 / 7257600);
        alpha[5] = (n5 * 34729 / 80640) - (n6 * 3418889 / 1995840);
        alpha[6] = n6 * 212378941 / 319334400;
        beta[1] = (n / 2) - (n2 * 2 / 3) + (n3 * 37 / 96) - (n4 / 360) - (n5 * 81 / 512) + (n6 * 96199 / 604800);
        beta[2] = (n2 / 48) + (n3 / 15) - (n4 * 437 / 1440) + (n5 * 46 / 105) - (n6 * 1118711 / 3870720);
        beta[3] = (n3 * 17 / 480) - (n4 * 37 / 840) - (n5 * 209 / 4480) + (n6 * 5569 / 90720);
        beta[4] = (n4 * 4397 / 161280) - (n5 * 11 / 504) - (n6 * 830251 / 7257600);
        beta[5] = (n5 * 4583 / 161280) - (n6 * 108847 / 3991680);
        beta[6] = n6 * 20648693 / 638668800;
    }
}
