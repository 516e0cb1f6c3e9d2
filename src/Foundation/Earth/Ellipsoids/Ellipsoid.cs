namespace Hillrow.Earth;

/// <summary>An ellipsoid of revolution, given by its semi-major axis and inverse flattening.</summary>
/// <param name="Name">As the EPSG data set names it.</param>
/// <param name="SemiMajorAxisMetres">Equatorial radius, above 0.</param>
/// <param name="InverseFlattening">1/f; 0 stands for a sphere.</param>
/// <remarks>Source of the constants: NIMA TR8350.2 (2000) for WGS 84, Moritz 2000 for GRS 1980, EPSG data set for the rest.</remarks>
public sealed record Ellipsoid(string Name, double SemiMajorAxisMetres, double InverseFlattening)
{
    public static Ellipsoid Wgs84 { get; } = new("WGS 84", 6378137, 298.257223563);

    public static Ellipsoid Grs1980 { get; } = new("GRS 1980", 6378137, 298.257222101);

    public static Ellipsoid Airy1830 { get; } = new("Airy 1830", 6377563.396, 299.3249646);

    public static Ellipsoid Bessel1841 { get; } = new("Bessel 1841", 6377397.155, 299.1528128);

    public static Ellipsoid Clarke1866 { get; } = new("Clarke 1866", 6378206.4, 6378206.4 / (6378206.4 - 6356583.8));

    public static Ellipsoid Clarke1880Rgs { get; } = new("Clarke 1880 (RGS)", 6378249.145, 293.465);

    public static Ellipsoid Clarke1880Arc { get; } = new("Clarke 1880 (Arc)", 6378249.145, 293.4663077);

    public static Ellipsoid Clarke1880Ign { get; } =
        new("Clarke 1880 (IGN)", 6378249.2, 6378249.2 / (6378249.2 - 6356515));

    public static Ellipsoid Grs1967Modified { get; } = new("GRS 1967 Modified", 6378160, 298.25);

    public static Ellipsoid International1924 { get; } = new("International 1924", 6378388, 297);

    public static Ellipsoid Krassowsky1940 { get; } = new("Krassowsky 1940", 6378245, 298.3);

    public static Ellipsoid Cgcs2000 { get; } = new("CGCS2000", 6378137, 298.257222101);

    public double Flattening => InverseFlattening > 0 ? 1 / InverseFlattening : 0;

    public double SemiMinorAxisMetres => SemiMajorAxisMetres * (1 - Flattening);

    /// <summary>e² = f (2 − f).</summary>
    public double EccentricitySquared => Flattening * (2 - Flattening);

    public double Eccentricity => Math.Sqrt(EccentricitySquared);

    /// <summary>n = f / (2 − f), the small number of the transverse Mercator and geodesic series.</summary>
    public double ThirdFlattening => Flattening / (2 - Flattening);

    /// <summary>Radius of curvature in the prime vertical (east-west), metres.</summary>
    public double PrimeVerticalRadiusMetres(double latitudeRadians)
    {
        double sine = Math.Sin(latitudeRadians);
        return SemiMajorAxisMetres / Math.Sqrt(1 - (EccentricitySquared * sine * sine));
    }

    /// <summary>Radius of curvature in the meridian (north-south), metres.</summary>
    public double MeridianRadiusMetres(double latitudeRadians)
    {
        double sine = Math.Sin(latitudeRadians);
        double root = Math.Sqrt(1 - (EccentricitySquared * sine * sine));
        return SemiMajorAxisMetres * (1 - EccentricitySquared) / (root * root * root);
    }
}
