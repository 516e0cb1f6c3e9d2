namespace Hillrow.Earth;

/// <summary>
/// The conformal latitude χ by tangents: what transverse Mercator, Mercator and the Lambert conical projection share.
/// </summary>
/// <remarks>Source: C. F. F. Karney 2011, J. Geodesy 85:475–485, eqs 7–9 and 19–21, DOI 10.1007/s00190-011-0445-3.</remarks>
internal static class ConformalLatitude
{
    /// <summary>tan χ from τ = tan φ.</summary>
    public static double TangentOf(double tangent, double eccentricity)
    {
        double secant = Math.Sqrt(1 + (tangent * tangent));
        double sigma = Math.Sinh(eccentricity * Math.Atanh(eccentricity * tangent / secant));
        return (tangent * Math.Sqrt(1 + (sigma * sigma))) - (sigma * secant);
    }

    /// <summary>τ = tan φ from tan χ by Newton's method: three steps reach double precision on earth-like ellipsoids.</summary>
    public static double GeodeticTangentOf(double conformalTangent, double eccentricity)
    {
        double oneLess = 1 - (eccentricity * eccentricity);
        // Beyond this the pole is nearer than 1e-8 rad times the precision: the ratio of the tangents is constant there.
        if (Math.Abs(conformalTangent) > 1e12)
        {
            return conformalTangent * Math.Exp(eccentricity * Math.Atanh(eccentricity));
        }

        double tangent = conformalTangent / oneLess;
        for (int pass = 0; pass < 8; pass++)
        {
            double guess = TangentOf(tangent, eccentricity);
            double step =
                (conformalTangent - guess)
                * (1 + (oneLess * tangent * tangent))
                / (oneLess * Math.Sqrt(1 + (guess * guess)) * Math.Sqrt(1 + (tangent * tangent)));
            tangent += step;
            if (Math.Abs(step) <= 1e-15 * Math.Max(1, Math.Abs(tangent)))
            {
                break;
            }
        }

        return tangent;
    }

    /// <summary>Isometric latitude ψ; ±∞-free near the poles because tan φ stays finite in double precision.</summary>
    public static double IsometricOf(double latitudeRadians, double eccentricity) =>
        Math.Asinh(TangentOf(Math.Tan(latitudeRadians), eccentricity));

    /// <summary>Geodetic latitude in radians from the isometric latitude ψ.</summary>
    public static double LatitudeOf(double isometric, double eccentricity) =>
        Math.Atan(GeodeticTangentOf(Math.Sinh(isometric), eccentricity));
}
