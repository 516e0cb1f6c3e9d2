namespace Hillrow.Earth;

/// <summary>The authalic (equal-area) latitude through q = (1 − e²)·[sin φ/(1 − e² sin² φ) + atanh(e sin φ)/e].</summary>
/// <remarks>Source: J. P. Snyder 1987, USGS Professional Paper 1395, eq. 3-12, DOI 10.3133/pp1395.</remarks>
internal static class AuthalicLatitude
{
    /// <summary>q of a sine of latitude: twice the area, over a², of the zone from the equator per radian of longitude.</summary>
    public static double QOf(double sineLatitude, double eccentricity) =>
        eccentricity == 0
            ? 2 * sineLatitude
            : (1 - (eccentricity * eccentricity))
                * (
                    (sineLatitude / (1 - (eccentricity * eccentricity * sineLatitude * sineLatitude)))
                    + (Math.Atanh(eccentricity * sineLatitude) / eccentricity)
                );

    /// <summary>Latitude in radians from q, by Newton's method on the sine; q beyond the pole gives the pole.</summary>
    public static double LatitudeOf(double q, double eccentricity)
    {
        double atPole = QOf(1, eccentricity);
        if (Math.Abs(q) >= atPole)
        {
            return Math.CopySign(Math.PI / 2, q);
        }

        double squared = eccentricity * eccentricity;
        double sine = q / atPole;
        for (int pass = 0; pass < 20; pass++)
        {
            double less = 1 - (squared * sine * sine);
            double step = (q - QOf(sine, eccentricity)) * less * less / (2 * (1 - squared));
            sine = Math.Clamp(sine + step, -1, 1);
            if (Math.Abs(step) < 1e-16)
            {
                break;
            }
        }

        return Math.Asin(sine);
    }
}
