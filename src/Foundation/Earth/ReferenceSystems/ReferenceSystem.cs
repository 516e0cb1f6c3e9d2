using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>
/// A horizontal coordinate reference system: latitude and longitude on a datum, or a metric grid over one. Two are equal
/// when their EPSG codes are, or, for systems without a code, when datum and parameters are.
/// </summary>
public sealed record ReferenceSystem
{
    private readonly ReferenceSystemDefinition definition;

    /// <exception cref="InputProblemException">We do not know the code; the message says how to mend it.</exception>
    public ReferenceSystem(int epsgCode)
        : this(
            ReferenceSystemCatalogue.Find(epsgCode)
                ?? throw Unknown($"EPSG:{epsgCode}", "its parameters are not built in.")
        ) { }

    private ReferenceSystem(ReferenceSystemDefinition definition)
    {
        this.definition = definition;
        Projection = definition.Parameters is { } parameters
            ? Projection.Create(definition.Datum.Ellipsoid, parameters)
            : null;
    }

    public static ReferenceSystem Wgs84Geographic { get; } = new(4326);

    /// <summary>Every EPSG code we know, ascending.</summary>
    public static IEnumerable<int> KnownCodes => ReferenceSystemCatalogue.Codes;

    /// <summary>EPSG code; 0 for a system given by parameters that match no code we know.</summary>
    public int EpsgCode => definition.EpsgCode;

    public string Name => definition.Name;

    public ReferenceDatum Datum => definition.Datum;

    /// <summary>The map projection; null when coordinates are latitude and longitude.</summary>
    public Projection? Projection { get; }

    public bool IsGeographic => Projection is null;

    public bool IsProjected => Projection is not null;

    /// <summary>WGS 84 / UTM of a zone 1 … 60, north or south.</summary>
    /// <exception cref="ArgumentOutOfRangeException">No such zone.</exception>
    public static ReferenceSystem Utm(int zone, bool north) =>
        zone is >= 1 and <= 60
            ? new((north ? 32600 : 32700) + zone)
            : throw new ArgumentOutOfRangeException(nameof(zone), zone, "UTM zones run from 1 to 60.");

    /// <summary>WGS 84 / UTM of the standard zone of a place.</summary>
    public static ReferenceSystem UtmAt(GeographicPoint place) => UtmZone.Of(place).ToReferenceSystem();

    /// <summary>The system of a code, or null when we do not know it.</summary>
    public static ReferenceSystem? Find(int epsgCode) =>
        ReferenceSystemCatalogue.Find(epsgCode) is { } definition ? new(definition) : null;

    /// <summary>A system by its parameters; one that has a code we know comes back as that.</summary>
    /// <param name="name">Shown to people when no code fits.</param>
    /// <param name="datum">One of the datums we know, or one of the file's own.</param>
    /// <param name="parameters">Null for latitude and longitude.</param>
    /// <exception cref="ArgumentException">The parameters do not define a projection.</exception>
    public static ReferenceSystem From(string name, ReferenceDatum datum, ProjectionParameters? parameters)
    {
        ArgumentNullException.ThrowIfNull(datum);
        return parameters is null
            ? new(new ReferenceSystemDefinition(datum.GeographicCode, datum.Name, datum, null))
            : new(
                ReferenceSystemCatalogue.FindAlike(datum, parameters)
                    ?? new ReferenceSystemDefinition(0, name, datum, parameters)
            );
    }

    /// <summary>The grid point of a WGS 84 place.</summary>
    /// <exception cref="InvalidOperationException">This system is latitude and longitude.</exception>
    public GridPoint ToGrid(GeographicPoint wgs84Place) =>
        Projection is { } projection
            ? projection.Forward(Datum.FromWgs84Place(wgs84Place))
            : throw new InvalidOperationException($"{this} has no eastings and northings.");

    /// <summary>The WGS 84 place of a grid point.</summary>
    /// <exception cref="InvalidOperationException">This system is latitude and longitude.</exception>
    public GeographicPoint ToWgs84(GridPoint point) =>
        Projection is { } projection
            ? Datum.ToWgs84Place(projection.Inverse(point))
            : throw new InvalidOperationException($"{this} has no eastings and northings.");

    /// <summary>
    /// The WGS 84 place of a coordinate pair in the order files of the trade use: easting and northing in metres, or
    /// longitude and latitude in degrees.
    /// </summary>
    public GeographicPoint ToWgs84(double eastOrLongitude, double northOrLatitude) =>
        IsProjected
            ? ToWgs84(new GridPoint(eastOrLongitude, northOrLatitude))
            : Datum.ToWgs84Place(GeographicPoint.FromDegrees(northOrLatitude, eastOrLongitude));

    public bool Equals(ReferenceSystem? other) =>
        other is not null
        && (
            EpsgCode != 0 || other.EpsgCode != 0
                ? EpsgCode == other.EpsgCode
                : Datum == other.Datum && definition.Parameters == other.definition.Parameters
        );

    public override int GetHashCode() =>
        EpsgCode != 0 ? EpsgCode : HashCode.Combine(Datum.GeographicCode, definition.Parameters);

    public override string ToString() =>
        EpsgCode != 0 ? FormattableString.Invariant($"EPSG:{EpsgCode} ({Name})") : Name;

    /// <summary>The problem to throw for a system we cannot use.</summary>
    internal static InputProblemException Unknown(
        string system,
        string because,
        string where = "reference system",
        Exception? cause = null
    ) =>
        new(
            where,
            $"the coordinate system {Shown(system)} is not one we can use: {Shown(because)}",
            "Reproject the data to WGS 84 latitude/longitude (EPSG:4326) or to a WGS 84 / UTM zone and try again.",
            cause
        );

    /// <summary>Words out of a file, fit for a message: no control characters, not endless.</summary>
    internal static string Shown(string words)
    {
        const int longest = 200;
        string printable = string.Concat(words.Take(longest).Select(letter => char.IsControl(letter) ? '?' : letter));
        return words.Length > longest ? printable + " …" : printable;
    }
}
