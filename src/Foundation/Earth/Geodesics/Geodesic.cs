using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>Where a geodesic ends.</summary>
/// <param name="Place">The end.</param>
/// <param name="Azimuth">Forward direction there, clockwise from true north.</param>
public readonly record struct GeodesicEnd(GeographicPoint Place, Angle Azimuth);

/// <summary>The shortest line between two places.</summary>
/// <param name="DistanceMetres">Along the ellipsoid.</param>
/// <param name="StartAzimuth">Direction at the first place, clockwise from true north, in [-180°, 180°].</param>
/// <param name="EndAzimuth">Forward direction at the second place.</param>
public readonly record struct GeodesicSpan(double DistanceMetres, Angle StartAzimuth, Angle EndAzimuth);

/// <summary>Area and outline of a polygon whose edges are geodesics.</summary>
public readonly record struct GeodesicPolygon(double AreaSquareMetres, double PerimeterMetres);

/// <summary>Shortest lines on an ellipsoid, for any two places on earth, antipodes included.</summary>
/// <remarks>
/// Accuracy: about 15 nm in distance (series to the sixth order); checked against GeographicLib's values,
/// tests/Reference/geodesy, and PROJ's geod. Source: C. F. F. Karney 2013, J. Geodesy 87:43–55,
/// DOI 10.1007/s00190-012-0578-z. Departure: the azimuth of the inverse problem is found by bracketed false position
/// instead of Newton's method from an astroid estimate: slower, but it needs no special starts and cannot
/// diverge, because the longitude reached grows with the azimuth.
/// </remarks>
public sealed class Geodesic
{
    // Below the smallest number whose square is not 0: keeps a pole's cosine positive.
    private const double Tiny = 1e-150;

    private static readonly double[] GaussPoints =
    [
        0.1488743389816312,
        0.4333953941292472,
        0.6794095682990244,
        0.8650633666889845,
        0.9739065285171717,
    ];

    private static readonly double[] GaussWeights =
    [
        0.2955242247147529,
        0.2692667193099963,
        0.2190863625159821,
        0.1494513491505806,
        0.0666713443086881,
    ];

    private readonly double secondEccentricitySquared;

    public Geodesic(Ellipsoid ellipsoid)
    {
        ArgumentNullException.ThrowIfNull(ellipsoid);
        Ellipsoid = ellipsoid;
        Series = new GeodesicSeries(ellipsoid.ThirdFlattening);
        secondEccentricitySquared = ellipsoid.EccentricitySquared / (1 - ellipsoid.EccentricitySquared);
    }

    public static Geodesic Wgs84 { get; } = new(Ellipsoid.Wgs84);

    public Ellipsoid Ellipsoid { get; }

    internal GeodesicSeries Series { get; }

    /// <summary>The place a distance away in a direction.</summary>
    /// <param name="from">Start.</param>
    /// <param name="azimuth">Direction at the start, clockwise from true north.</param>
    /// <param name="metres">Any length, also negative (backwards).</param>
    public GeodesicEnd Direct(GeographicPoint from, Angle azimuth, double metres) =>
        new GeodesicLine(this, from, azimuth).At(metres);

    /// <summary>The shortest line between two places.</summary>
    public GeodesicSpan Inverse(GeographicPoint from, GeographicPoint to)
    {
        double difference = to.Longitude.Radians - from.Longitude.Radians;
        // Wrapping costs the last digits of a short difference: only when needed.
        double longitude12 =
            Math.Abs(difference) <= Math.PI ? difference : Angle.FromRadians(difference).WrappedSigned().Radians;
        double latitude1 = from.Latitude.Radians;
        double latitude2 = to.Latitude.Radians;

        // Canonical order: first point south of the equator and no nearer to it than the second, second to the east.
        double swapSign = Math.Abs(latitude1) < Math.Abs(latitude2) ? -1 : 1;
        double lonSign = longitude12 >= 0 ? swapSign : -swapSign;
        if (swapSign < 0)
        {
            (latitude1, latitude2) = (latitude2, latitude1);
        }

        double latSign = latitude1 < 0 ? 1 : -1;
        (double sine1, double cosine1) = Reduced(latSign * latitude1);
        (double sine2, double cosine2) = Reduced(latSign * latitude2);
        Solution found = Solve(sine1, cosine1, sine2, cosine2, Math.Abs(longitude12));
        if (swapSign < 0)
        {
            found = found with
            {
                SineStart = found.SineEnd,
                CosineStart = found.CosineEnd,
                SineEnd = found.SineStart,
                CosineEnd = found.CosineStart,
            };
        }

        double eastSign = swapSign * lonSign;
        double northSign = swapSign * latSign;
        return new(
            found.Metres,
            Angle.FromRadians(Math.Atan2(found.SineStart * eastSign, found.CosineStart * northSign)),
            Angle.FromRadians(Math.Atan2(found.SineEnd * eastSign, found.CosineEnd * northSign))
        );
    }

    /// <summary>Area (positive whichever way round) and outline of a polygon; the last corner joins the first.</summary>
    /// <exception cref="ArgumentException">Fewer than three corners, or the polygon encloses a pole.</exception>
    /// <remarks>
    /// Edge by edge the zone area down to the first corner's parallel is integrated along the geodesic (ten-point
    /// Gauss–Legendre on pieces of at most 50 km): exact to 1e-11 away from the poles.
    /// </remarks>
    public GeodesicPolygon Polygon(IReadOnlyList<GeographicPoint> corners)
    {
        ArgumentNullException.ThrowIfNull(corners);
        if (corners.Count < 3)
        {
            throw new ArgumentException($"{corners.Count} corners make no polygon.", nameof(corners));
        }

        double perimeter = 0;
        double area = 0;
        double turned = 0;
        double reference = AuthalicLatitude.QOf(corners[0].Latitude.Sine, Ellipsoid.Eccentricity);
        for (int i = 0; i < corners.Count; i++)
        {
            GeographicPoint from = corners[i];
            GeographicPoint to = corners[(i + 1) % corners.Count];
            GeodesicSpan edge = Inverse(from, to);
            perimeter += edge.DistanceMetres;
            turned += (to.Longitude - from.Longitude).WrappedSigned().Radians;
            area += ZoneArea(new GeodesicLine(this, from, edge.StartAzimuth), edge.DistanceMetres, reference);
        }

        return Math.Abs(turned) < Math.PI
            ? new(Math.Abs(area), perimeter)
            : throw new ArgumentException("The polygon encloses a pole.", nameof(corners));
    }

    /// <summary>Sine and cosine of the reduced latitude; the cosine stays above 0 at the poles.</summary>
    internal (double Sine, double Cosine) Reduced(double latitudeRadians)
    {
        (double sine, double cosine) = Math.SinCos(latitudeRadians);
        sine *= 1 - Ellipsoid.Flattening;
        double length = double.Hypot(sine, cosine);
        // A nanometre's millionth from the equator is on it: keeps the search below from hunting endless digits.
        return (Math.Abs(sine) < 1e-19 ? 0 : sine / length, Math.Max(Tiny, cosine / length));
    }

    /// <summary>ε of the series, from the cosine of the azimuth at the node.</summary>
    internal double EpsilonOf(double cosineNode)
    {
        double k2 = cosineNode * cosineNode * secondEccentricitySquared;
        return k2 / ((2 * (1 + Math.Sqrt(1 + k2))) + k2);
    }

    private double ZoneArea(GeodesicLine line, double length, double reference)
    {
        int pieces = 1 + (int)Math.Min(1000, length / 50000);
        double half = length / pieces / 2;
        double sum = 0;
        for (int piece = 0; piece < pieces; piece++)
        {
            double middle = ((2 * piece) + 1) * half;
            for (int i = 0; i < GaussPoints.Length; i++)
            {
                sum +=
                    GaussWeights[i]
                    * half
                    * (Strip(line, middle - (half * GaussPoints[i])) + Strip(line, middle + (half * GaussPoints[i])));
            }
        }

        return sum;

        // dλ/ds = sin α₀ / (a·cos² β); zone area per radian of longitude = a²·q/2.
        double Strip(GeodesicLine along, double metres)
        {
            double latitude = along.At(metres).Place.Latitude.Radians;
            (_, double cosineReduced) = Reduced(latitude);
            double q = AuthalicLatitude.QOf(Math.Sin(latitude), Ellipsoid.Eccentricity);
            return Ellipsoid.SemiMajorAxisMetres
                * along.SineNode
                / (2 * cosineReduced * cosineReduced)
                * (q - reference);
        }
    }

    /// <summary>The inverse problem in canonical order; longitude12 in [0, π].</summary>
    private Solution Solve(double sine1, double cosine1, double sine2, double cosine2, double longitude12)
    {
        bool meridian = longitude12 == 0 || longitude12 == Math.PI || cosine1 <= Tiny;
        if (meridian)
        {
            (double sine, double cosine) =
                longitude12 == 0 ? (0, 1)
                : longitude12 == Math.PI ? (0, -1)
                : Math.SinCos(longitude12);
            return Finish(sine, cosine, 0, 1, 0, sine1, cosine * cosine1, sine2, cosine2);
        }

        if (sine1 == 0 && longitude12 <= (1 - Ellipsoid.Flattening) * Math.PI)
        {
            return new(Ellipsoid.SemiMajorAxisMetres * longitude12, 1, 0, 1, 0);
        }

        // The unknown is the azimuth less 90°: near the equator it is tiny and every digit of it counts.
        double below = -Math.PI / 2;
        double above = Math.PI / 2;
        double lowMiss = Try(below, sine1, cosine1, sine2, cosine2, longitude12).Miss;
        double highMiss = Try(above, sine1, cosine1, sine2, cosine2, longitude12).Miss;
        double turn = GreatCircleTurn(sine1, cosine1, sine2, cosine2, longitude12);
        Trial best = default;
        int lastSide = 0;
        for (int pass = 0; pass < 300; pass++)
        {
            if (!(turn > below && turn < above))
            {
                turn = (below + above) / 2;
            }

            best = Try(turn, sine1, cosine1, sine2, cosine2, longitude12);
            double width = above - below;
            if (best.Miss == 0 || turn.Equals(below) || turn.Equals(above))
            {
                break;
            }

            if (best.Miss < 0)
            {
                highMiss = lastSide < 0 ? highMiss / 2 : highMiss;
                (below, lowMiss, lastSide) = (turn, best.Miss, -1);
            }
            else
            {
                lowMiss = lastSide > 0 ? lowMiss / 2 : lowMiss;
                (above, highMiss, lastSide) = (turn, best.Miss, 1);
            }

            // Where the longitude nearly jumps (antipodes, equator), false position creeps: then halve.
            bool halve = pass % 3 == 2 && above - below > width / 4;
            double next = halve ? (below + above) / 2 : below + ((above - below) * (lowMiss / (lowMiss - highMiss)));
            if (next.Equals(turn))
            {
                break;
            }

            turn = next;
        }

        return Finish(
            best.SineStart,
            best.CosineStart,
            best.SineEnd,
            best.CosineEnd,
            best.SineStart * cosine1,
            sine1,
            best.CosineStart * cosine1,
            sine2,
            best.CosineEnd * cosine2
        );
    }

    private static double GreatCircleTurn(
        double sine1,
        double cosine1,
        double sine2,
        double cosine2,
        double longitude12
    ) => Math.Atan2((sine1 * cosine2 * Math.Cos(longitude12)) - (cosine1 * sine2), cosine2 * Math.Sin(longitude12));

    /// <summary>Longitude reached at the second latitude when leaving in a direction, less the wanted one.</summary>
    private Trial Try(double turn, double sine1, double cosine1, double sine2, double cosine2, double longitude12)
    {
        (double sineTurn, double sineStart) = Math.SinCos(turn);
        double cosineStart = -sineTurn;
        if (Math.Abs(turn) >= Math.PI / 2)
        {
            (sineStart, cosineStart) = (0, -Math.Sign(turn));
        }

        if (sine1 == 0 && cosineStart == 0)
        {
            cosineStart = -Tiny;
        }

        double sineNode = sineStart * cosine1;
        double cosineNode = double.Hypot(cosineStart, sineStart * sine1);
        bool alike = cosine2.Equals(cosine1);
        double sineEnd = alike ? sineStart : sineNode / cosine2;
        double cosineEnd =
            alike && Math.Abs(sine2).Equals(-sine1)
                ? Math.Abs(cosineStart)
                : Math.Sqrt(
                    Math.Max(
                        0,
                        (cosineStart * cosine1 * cosineStart * cosine1)
                            + (
                                cosine1 < -sine1
                                    ? (cosine2 - cosine1) * (cosine1 + cosine2)
                                    : (sine1 - sine2) * (sine1 + sine2)
                            )
                    )
                ) / cosine2;
        double omegaCosine1 = cosineStart * cosine1;
        double omegaCosine2 = cosineEnd * cosine2;
        double omegaSine1 = sineNode * sine1;
        double omegaSine2 = sineNode * sine2;
        (double sineSigma1, double cosineSigma1) = Unit(sine1, omegaCosine1);
        (double sineSigma2, double cosineSigma2) = Unit(sine2, omegaCosine2);
        double sigma12 = Math.Atan2(
            Math.Max(0, (cosineSigma1 * sineSigma2) - (sineSigma1 * cosineSigma2)),
            (cosineSigma1 * cosineSigma2) + (sineSigma1 * sineSigma2)
        );
        double sineOmega12 = Math.Max(0, (omegaCosine1 * omegaSine2) - (omegaSine1 * omegaCosine2));
        double cosineOmega12 = (omegaCosine1 * omegaCosine2) + (omegaSine1 * omegaSine2);
        (double sineWanted, double cosineWanted) = Math.SinCos(longitude12);
        double miss = Math.Atan2(
            (sineOmega12 * cosineWanted) - (cosineOmega12 * sineWanted),
            (cosineOmega12 * cosineWanted) + (sineOmega12 * sineWanted)
        );
        double eps = EpsilonOf(cosineNode);
        Span<double> c3 = stackalloc double[GeodesicSeries.Order + 1];
        Series.C3(eps, c3);
        double periodic =
            GeodesicSeries.SineSum(c3, GeodesicSeries.Order - 1, sineSigma2, cosineSigma2)
            - GeodesicSeries.SineSum(c3, GeodesicSeries.Order - 1, sineSigma1, cosineSigma1);
        miss -= Ellipsoid.Flattening * Series.A3(eps) * sineNode * (sigma12 + periodic);
        return new(miss, sineStart, cosineStart, sineEnd, cosineEnd);
    }

    /// <summary>Distance of the line once its azimuths are known.</summary>
    private Solution Finish(
        double sineStart,
        double cosineStart,
        double sineEnd,
        double cosineEnd,
        double sineNode,
        double sine1,
        double cosineAlong1,
        double sine2,
        double cosineAlong2
    )
    {
        (double sineSigma1, double cosineSigma1) = Unit(sine1, cosineAlong1);
        (double sineSigma2, double cosineSigma2) = Unit(sine2, cosineAlong2);
        double sigma12 = Math.Atan2(
            Math.Max(0, (cosineSigma1 * sineSigma2) - (sineSigma1 * cosineSigma2)),
            (cosineSigma1 * cosineSigma2) + (sineSigma1 * sineSigma2)
        );
        double eps = EpsilonOf(Math.Sqrt(Math.Max(0, 1 - (sineNode * sineNode))));
        Span<double> c1 = stackalloc double[GeodesicSeries.Order + 1];
        GeodesicSeries.C1(eps, c1);
        double periodic =
            GeodesicSeries.SineSum(c1, GeodesicSeries.Order, sineSigma2, cosineSigma2)
            - GeodesicSeries.SineSum(c1, GeodesicSeries.Order, sineSigma1, cosineSigma1);
        double metres = Ellipsoid.SemiMinorAxisMetres * GeodesicSeries.A1(eps) * (sigma12 + periodic);
        return new(metres, sineStart, cosineStart, sineEnd, cosineEnd);
    }

    private static (double Sine, double Cosine) Unit(double sine, double cosine)
    {
        double length = double.Hypot(sine, cosine);
        return length > 0 ? (sine / length, cosine / length) : (0, 1);
    }

    private readonly record struct Trial(
        double Miss,
        double SineStart,
        double CosineStart,
        double SineEnd,
        double CosineEnd
    );

    private readonly record struct Solution(
        double Metres,
        double SineStart,
        double CosineStart,
        double SineEnd,
        double CosineEnd
    );
}
