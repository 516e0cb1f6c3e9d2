using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>A geodesic that leaves a point in a direction: where it is after any distance.</summary>
/// <remarks>Source: Karney 2013, section 3 (direct problem). Accuracy: about 15 nm.</remarks>
internal sealed class GeodesicLine
{
    private readonly Geodesic geodesic;
    private readonly Angle startLongitude;
    private readonly double[] c1 = new double[GeodesicSeries.Order + 1];
    private readonly double[] c1Reverted = new double[GeodesicSeries.Order + 1];
    private readonly double[] c3 = new double[GeodesicSeries.Order + 1];
    private readonly double cosineNode;
    private readonly double sineSigma1;
    private readonly double cosineSigma1;
    private readonly double sineOmega1;
    private readonly double cosineOmega1;
    private readonly double a1;
    private readonly double longitudeFactor;
    private readonly double periodic1;
    private readonly double longitudePeriodic1;

    public GeodesicLine(Geodesic geodesic, GeographicPoint from, Angle azimuth)
    {
        this.geodesic = geodesic;
        startLongitude = from.Longitude;
        (double sineReduced, double cosineReduced) = geodesic.Reduced(from.Latitude.Radians);
        (double sineAzimuth, double cosineAzimuth) = Math.SinCos(azimuth.Radians);
        SineNode = sineAzimuth * cosineReduced;
        cosineNode = double.Hypot(cosineAzimuth, sineAzimuth * sineReduced);
        sineOmega1 = SineNode * sineReduced;
        cosineOmega1 = sineReduced != 0 || cosineAzimuth != 0 ? cosineReduced * cosineAzimuth : 1;
        double scale = double.Hypot(sineReduced, cosineOmega1);
        sineSigma1 = sineReduced / scale;
        cosineSigma1 = cosineOmega1 / scale;
        double eps = geodesic.EpsilonOf(cosineNode);
        a1 = GeodesicSeries.A1(eps);
        GeodesicSeries.C1(eps, c1);
        GeodesicSeries.C1Reverted(eps, c1Reverted);
        geodesic.Series.C3(eps, c3);
        periodic1 = GeodesicSeries.SineSum(c1, GeodesicSeries.Order, sineSigma1, cosineSigma1);
        longitudePeriodic1 = GeodesicSeries.SineSum(c3, GeodesicSeries.Order - 1, sineSigma1, cosineSigma1);
        longitudeFactor = -geodesic.Ellipsoid.Flattening * SineNode * geodesic.Series.A3(eps);
    }

    /// <summary>Sine of the azimuth at the node (where the line crosses the equator): Clairaut's constant.</summary>
    public double SineNode { get; }

    public GeodesicEnd At(double metres)
    {
        double tau12 = metres / (geodesic.Ellipsoid.SemiMinorAxisMetres * a1);
        (double sine1, double cosine1) = Math.SinCos(periodic1);
        double sineTau1 = (sineSigma1 * cosine1) + (cosineSigma1 * sine1);
        double cosineTau1 = (cosineSigma1 * cosine1) - (sineSigma1 * sine1);
        (double sineStep, double cosineStep) = Math.SinCos(tau12);
        double periodic2 = -GeodesicSeries.SineSum(
            c1Reverted,
            GeodesicSeries.Order,
            (sineTau1 * cosineStep) + (cosineTau1 * sineStep),
            (cosineTau1 * cosineStep) - (sineTau1 * sineStep)
        );
        double sigma12 = tau12 - (periodic2 - periodic1);
        (double sine12, double cosine12) = Math.SinCos(sigma12);
        double sineSigma2 = (sineSigma1 * cosine12) + (cosineSigma1 * sine12);
        double cosineSigma2 = (cosineSigma1 * cosine12) - (sineSigma1 * sine12);
        double sineReduced = cosineNode * sineSigma2;
        double cosineReduced = double.Hypot(SineNode, cosineNode * cosineSigma2);
        double sineOmega2 = SineNode * sineSigma2;
        double omega12 = Math.Atan2(
            (sineOmega2 * cosineOmega1) - (cosineSigma2 * sineOmega1),
            (cosineSigma2 * cosineOmega1) + (sineOmega2 * sineOmega1)
        );
        double longitude12 =
            omega12
            + (
                longitudeFactor
                * (
                    sigma12
                    + GeodesicSeries.SineSum(c3, GeodesicSeries.Order - 1, sineSigma2, cosineSigma2)
                    - longitudePeriodic1
                )
            );
        return new(
            new(
                Angle.FromRadians(Math.Atan2(sineReduced, (1 - geodesic.Ellipsoid.Flattening) * cosineReduced)),
                (startLongitude + Angle.FromRadians(longitude12)).WrappedSigned()
            ),
            Angle.FromRadians(Math.Atan2(SineNode, cosineNode * cosineSigma2))
        );
    }
}
