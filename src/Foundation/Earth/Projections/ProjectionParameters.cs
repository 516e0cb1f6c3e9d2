namespace Hillrow.Earth;

/// <summary>The projection methods we compute; the number is the EPSG method code.</summary>
public enum ProjectionMethod
{
    TransverseMercator = 9807,
    LambertConicalOneParallel = 9801,
    LambertConicalTwoParallels = 9802,
    MercatorWithScale = 9804,
    MercatorWithParallel = 9805,
    WebMercator = 1024,
    AlbersEqualArea = 9822,
}

/// <summary>Parameters of a projection as its authority publishes them: degrees and metres.</summary>
/// <param name="Method">What the others mean depends on it.</param>
/// <param name="OriginLatitudeDegrees">Latitude of the (false) origin.</param>
/// <param name="CentralMeridianDegrees">Longitude of the origin, east of Greenwich.</param>
/// <param name="Scale">Scale at the origin; 1 for methods given by standard parallels.</param>
/// <param name="FalseEastingMetres">Easting of the origin.</param>
/// <param name="FalseNorthingMetres">Northing of the origin.</param>
/// <param name="FirstParallelDegrees">First standard parallel, where the method has one.</param>
/// <param name="SecondParallelDegrees">Second standard parallel, where the method has one.</param>
public sealed record ProjectionParameters(
    ProjectionMethod Method,
    double OriginLatitudeDegrees,
    double CentralMeridianDegrees,
    double Scale,
    double FalseEastingMetres,
    double FalseNorthingMetres,
    double FirstParallelDegrees = 0,
    double SecondParallelDegrees = 0
)
{
    /// <summary>UTM's parameters of a zone 1 … 60.</summary>
    /// <exception cref="ArgumentOutOfRangeException">No such zone.</exception>
    public static ProjectionParameters Utm(int zone, bool north) =>
        zone is >= 1 and <= 60
            ? new(ProjectionMethod.TransverseMercator, 0, (6 * zone) - 183, 0.9996, 500000, north ? 0 : 10000000)
            : throw new ArgumentOutOfRangeException(nameof(zone), zone, "UTM zones run from 1 to 60.");

    /// <summary>The same numbers within what files round to: 1e-9° (0.1 mm), 1e-9 in scale, 0.1 mm.</summary>
    public bool SameAs(ProjectionParameters other)
    {
        ArgumentNullException.ThrowIfNull(other);
        return Method == other.Method
            && Near(OriginLatitudeDegrees, other.OriginLatitudeDegrees, 1e-9)
            && Near(CentralMeridianDegrees, other.CentralMeridianDegrees, 1e-9)
            && Near(Scale, other.Scale, 1e-10)
            && Near(FalseEastingMetres, other.FalseEastingMetres, 1e-4)
            && Near(FalseNorthingMetres, other.FalseNorthingMetres, 1e-4)
            && Near(FirstParallelDegrees, other.FirstParallelDegrees, 1e-9)
            && Near(SecondParallelDegrees, other.SecondParallelDegrees, 1e-9);
    }

    private static bool Near(double one, double other, double within) => Math.Abs(one - other) <= within;
}
