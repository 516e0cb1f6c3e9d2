using Hillrow.Imaging;

namespace Hillrow.Mapping;

/// <summary>How a map's values and their standard errors become numbers of its files.</summary>
/// <param name="Scale">Value = stored × Scale.</param>
/// <param name="Offset">What is added for the value that people read: value as laid + Offset.</param>
/// <param name="Unit">Of the value that people read.</param>
/// <param name="SigmaUnit">Sigma = this × what <see cref="SigmaCode"/> says.</param>
/// <param name="Meaning">For the file's own description.</param>
public sealed record ValueCoding(double Scale, double Offset, string Unit, double SigmaUnit, string Meaning)
{
    /// <summary>Temperatures laid in kelvin, read in degrees Celsius, in steps of 0.01 K.</summary>
    public static ValueCoding Temperature { get; } =
        new(0.01, -273.15, "degree Celsius", 10, "brightness temperature at the camera; each cell from one capture");

    /// <summary>No data.</summary>
    public const ushort Missing = ReflectanceCode.Missing;

    /// <summary>NaN becomes <see cref="Missing"/>; what lies outside becomes the nearest.</summary>
    public ushort Encode(float value)
    {
        double stored = (value / Scale) + 0.5;
        return double.IsNaN(stored) ? Missing : (ushort)Math.Clamp(stored, 0, 65534);
    }

    /// <summary>Code of one standard error; 0 for NaN.</summary>
    public byte EncodeSigma(float sigma) => SigmaCode.Encode((float)(sigma / SigmaUnit));

    /// <summary>NaN for code 0.</summary>
    public float DecodeSigma(byte code) => (float)(SigmaUnit * SigmaCode.Decode(code));

    /// <summary>For the sigma file's own description.</summary>
    internal string SigmaMeaning =>
        FormattableString.Invariant(
            $"standard error, logarithmic; code 0: no data; code c: sigma = {SigmaCode.Smallest * SigmaUnit} * 1.04^(c-1), in {Unit}"
        );

    internal RasterLabel ValueLabel(Earth.GridGeometry grid, IReadOnlyList<string> bands) =>
        new(grid, [.. bands.Select(band => new BandLabel(band, Unit, Scale, Offset))])
        {
            NoData = Missing,
            Items = new Dictionary<string, string> { ["meaning"] = Meaning },
        };

    internal RasterLabel SigmaLabel(Earth.GridGeometry grid, IReadOnlyList<string> bands) =>
        new(grid, [.. bands.Select(band => new BandLabel(band))])
        {
            NoData = 0,
            Items = new Dictionary<string, string> { ["meaning"] = SigmaMeaning },
        };
}
