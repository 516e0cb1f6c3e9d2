namespace Hillrow.Earth;

/// <summary>A horizontal coordinate reference system, known by its EPSG code.</summary>
public sealed record ReferenceSystem(int EpsgCode)
{
    public static ReferenceSystem Wgs84Geographic { get; } = new(4326);

    /// <summary>WGS 84 / UTM of a zone 1 … 60, north or south.</summary>
    public static ReferenceSystem Utm(int zone, bool north) => new((north ? 32600 : 32700) + zone);

    public override string ToString() => FormattableString.Invariant($"EPSG:{EpsgCode}");
}
