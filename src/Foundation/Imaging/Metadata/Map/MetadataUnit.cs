namespace Hillrow.Imaging;

/// <summary>
/// A unit that a file's number may be in. Base units: degree, metre, second, linear amplification, W m⁻² nm⁻¹, °C.
/// </summary>
/// <param name="Word">As written in the map.</param>
/// <param name="Kind">What it measures.</param>
/// <param name="Scale">Base = number · scale + offset; in decibels 10^(number / 20) instead.</param>
public sealed record MetadataUnit(string Word, QuantityKind Kind, double Scale, double Offset = 0)
{
    private static readonly MetadataUnit[] Known =
    [
        new("1", QuantityKind.PlainNumber, 1),
        new("1", QuantityKind.Amplification, 1),
        new("dB", QuantityKind.Amplification, 1),
        new("1", QuantityKind.Text, 1),
        new("deg", QuantityKind.Angle, 1),
        new("rad", QuantityKind.Angle, 180 / Math.PI),
        new("m", QuantityKind.Length, 1),
        new("cm", QuantityKind.Length, 1e-2),
        new("mm", QuantityKind.Length, 1e-3),
        new("um", QuantityKind.Length, 1e-6),
        new("nm", QuantityKind.Length, 1e-9),
        new("ft", QuantityKind.Length, 0.3048),
        new("s", QuantityKind.Duration, 1),
        new("ms", QuantityKind.Duration, 1e-3),
        new("us", QuantityKind.Duration, 1e-6),
        new("ns", QuantityKind.Duration, 1e-9),
        new("relative", QuantityKind.SpectralIrradiance, 1),
        new("W/m2/nm", QuantityKind.SpectralIrradiance, 1),
        new("mW/m2/nm", QuantityKind.SpectralIrradiance, 1e-3),
        new("W/m2/um", QuantityKind.SpectralIrradiance, 1e-3),
        new("uW/cm2/nm", QuantityKind.SpectralIrradiance, 1e-2),
        new("mW/cm2/nm", QuantityKind.SpectralIrradiance, 10),
        new("degC", QuantityKind.Temperature, 1),
        new("K", QuantityKind.Temperature, 1, -273.15),
        new("degF", QuantityKind.Temperature, 5.0 / 9, -160.0 / 9),
    ];

    public static MetadataUnit? Find(QuantityKind kind, string word) =>
        Array.Find(Known, unit => unit.Kind == kind && unit.Word == word);

    public static IEnumerable<string> WordsOf(QuantityKind kind) =>
        Known.Where(unit => unit.Kind == kind).Select(unit => unit.Word);

    public double ToBase(double number) => Word == "dB" ? Math.Pow(10, number / 20) : (number * Scale) + Offset;
}
