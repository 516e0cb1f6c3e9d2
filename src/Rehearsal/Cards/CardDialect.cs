using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>How one invented camera writes its files: names, places, units and number forms.</summary>
/// <remarks>The same captures in every dialect; only the way of writing differs. Every namespace is invented.</remarks>
public abstract class CardDialect
{
    private protected CardDialect(string name, string model)
    {
        Name = name;
        Model = model;
    }

    /// <summary>All dialects, the usual one first.</summary>
    public static IReadOnlyList<CardDialect> All { get; } =
    [new BrisaDialect(), new CerroDialect(), new LomaDialect(), new VegaDialect()];

    /// <summary>One lower-case word.</summary>
    public string Name { get; }

    /// <summary>The invented camera's model, as its files and its profile have it.</summary>
    public string Model { get; }

    /// <summary>How 12-bit counts sit in 16-bit samples.</summary>
    public abstract BitPlacement Placement { get; }

    /// <summary>Whether frames tell their black level.</summary>
    public abstract bool TellsBlackLevel { get; }

    /// <summary>Of the irradiance after conversion.</summary>
    public abstract IrradianceUnit Irradiance { get; }

    /// <summary>Where the files keep what.</summary>
    public abstract MetadataMap Map { get; }

    /// <exception cref="InputProblemException">No dialect has that name.</exception>
    public static CardDialect Named(string name) =>
        All.FirstOrDefault(dialect => dialect.Name == name)
        ?? throw new InputProblemException(
            "--dialect",
            $"does not know \"{name}\".",
            $"There are: {string.Join(", ", All.Select(dialect => dialect.Name))}."
        );

    /// <summary>Files of one capture below the card's folder, relative with forward slashes, the first band's first.</summary>
    public abstract IReadOnlyList<string> FilesOf(int captureNumber);

    /// <summary>File of a capture's thermal frame; may be that of another band, which then has one page more.</summary>
    public abstract string ThermalFileOf(int captureNumber);

    /// <summary>Writes the capture's files below an existing folder; each appears only when it is whole.</summary>
    internal abstract void Write(string folder, RehearsalCapture capture, CardCamera camera);

    private protected ushort[] Stored(ushort[] shifted) =>
        Placement == BitPlacement.High
            ? shifted
            : Array.ConvertAll(shifted, count => (ushort)(count >> TrueSensor.StoredShift));

    /// <summary>Thermal counts as this dialect stores them.</summary>
    private protected ushort[] StoredThermal(ThermalFrame frame) =>
        Placement == BitPlacement.High
            ? Array.ConvertAll(frame.Counts, count => (ushort)(count << (16 - ThermalCamera.Bits)))
            : frame.Counts;

    private protected static double Celsius(ThermalFrame frame) => frame.HousingKelvin - 273.15;

    private protected static string Place(string folder, string relative)
    {
        string path = Path.Combine(folder, relative);
        Directory.CreateDirectory(Path.GetDirectoryName(path)!);
        return path;
    }

    /// <summary>Height above the EGM96 geoid of the reported place.</summary>
    private protected static double SeaHeightMetres(GeodeticPosition place) =>
        new Height(place.HeightAboveEllipsoidMetres, VerticalReference.Ellipsoid).OrthometricMetres(
            new GeographicPoint(place.Latitude, place.Longitude),
            GeoidModel.Egm96
        );

    private protected static double Degrees(double degrees)
    {
        double turn = degrees % 360;
        return turn < 0 ? turn + 360 : turn;
    }

    private protected static double Radians(double degrees) => degrees * Math.PI / 180;

    private protected static IReadOnlyList<ValueRule> Rule(ValueRule rule) => [rule];

    private protected static IReadOnlyList<ValueRule> At(PropertyKey key, string unit = "", int item = 0) =>
        [
            new ValueRule
            {
                Property = key,
                Unit = unit,
                Item = item,
            },
        ];
}

/// <summary>What a camera knows of itself while it writes.</summary>
/// <param name="SerialNumber">Of this one.</param>
/// <param name="BlackCounts">By band: measured on its covered pixels, 12-bit counts.</param>
/// <param name="Columns">Pixels across.</param>
/// <param name="Rows">Pixels down.</param>
/// <param name="PositionSigmaMetres">Horizontal, as its receiver claims.</param>
internal sealed record CardCamera(
    string SerialNumber,
    IReadOnlyList<double> BlackCounts,
    int Columns,
    int Rows,
    double PositionSigmaMetres
);
