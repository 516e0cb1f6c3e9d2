using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Reads a unit out of what stands behind a number, beside it, or in its name.</summary>
internal static class UnitWords
{
    /// <summary>The metadata map's word for the unit that is told; null when none is.</summary>
    public static string? Told(Channel channel, QuantityKind kind) =>
        Of(channel.UnitText, kind) ?? OfName(channel.Words, kind);

    public static string? Of(string text, QuantityKind kind)
    {
        string plain = string.Concat(
            text.ToLowerInvariant()
                .Replace('µ', 'u')
                .Replace('μ', 'u')
                .Replace("²", "2", StringComparison.Ordinal)
                .Where(letter => char.IsLetterOrDigit(letter) || letter is '/' or '°')
        );
        if (plain.Length == 0)
        {
            return null;
        }

        return kind switch
        {
            QuantityKind.SpectralIrradiance => Irradiance(plain),
            QuantityKind.Duration => plain switch
            {
                "s" or "sec" or "secs" or "second" or "seconds" => "s",
                "ms" or "msec" or "millisecond" or "milliseconds" or "millis" => "ms",
                "us" or "usec" or "microsecond" or "microseconds" or "micros" => "us",
                "ns" or "nanosecond" or "nanoseconds" => "ns",
                _ => null,
            },
            QuantityKind.Angle => plain switch
            {
                "deg" or "degree" or "degrees" or "°" => "deg",
                "rad" or "radian" or "radians" => "rad",
                _ => null,
            },
            QuantityKind.Amplification => plain switch
            {
                "db" or "decibel" or "decibels" => "dB",
                "linear" or "x" or "factor" or "times" or "ratio" => "1",
                _ => null,
            },
            QuantityKind.Length => plain switch
            {
                "m" or "metre" or "metres" or "meter" or "meters" => "m",
                "cm" or "centimetre" or "centimetres" or "centimeters" => "cm",
                "mm" or "millimetre" or "millimetres" or "millimeters" => "mm",
                "um" or "micron" or "microns" or "micrometre" or "micrometres" or "micrometers" => "um",
                "nm" or "nanometre" or "nanometres" or "nanometer" or "nanometers" => "nm",
                "ft" or "feet" or "foot" => "ft",
                _ => null,
            },
            QuantityKind.Temperature => plain switch
            {
                "c" or "degc" or "celsius" or "°c" => "degC",
                "k" or "kelvin" => "K",
                "f" or "degf" or "fahrenheit" or "°f" => "degF",
                _ => null,
            },
            _ => null,
        };
    }

    private static string? OfName(IReadOnlyList<string> words, QuantityKind kind)
    {
        if (kind == QuantityKind.SpectralIrradiance)
        {
            string whole = string.Concat(words);
            return whole.Contains("uwcm", StringComparison.Ordinal)
                || whole.Contains("uwpercm", StringComparison.Ordinal)
                    ? "uW/cm2/nm"
                : whole.Contains("mwm2", StringComparison.Ordinal) || whole.Contains("mwperm", StringComparison.Ordinal)
                    ? "mW/m2/nm"
                : whole.Contains("wm2nm", StringComparison.Ordinal)
                || whole.Contains("wperm2pernm", StringComparison.Ordinal)
                    ? "W/m2/nm"
                : null;
        }

        // One letter in a name ("s", "m") is no unit; "Rad" and "Ms" are.
        return words
            .Where(word => word.Length > 1)
            .Select(word => Of(word, kind))
            .FirstOrDefault(unit => unit is not null);
    }

    private static string? Irradiance(string plain)
    {
        string words = plain
            .Replace("micro", "u", StringComparison.Ordinal)
            .Replace("milli", "m", StringComparison.Ordinal)
            .Replace("watts", "w", StringComparison.Ordinal)
            .Replace("watt", "w", StringComparison.Ordinal);
        string area =
            words.Contains("cm", StringComparison.Ordinal) || words.Contains("centi", StringComparison.Ordinal)
                ? "cm2"
                : "m2";
        bool perMicrometre =
            words.EndsWith("um", StringComparison.Ordinal) || words.EndsWith("umetre", StringComparison.Ordinal);
        bool perNanometre =
            words.Contains("nm", StringComparison.Ordinal) || words.Contains("nano", StringComparison.Ordinal);
        string? power =
            words.StartsWith("uw", StringComparison.Ordinal) ? "uW"
            : words.StartsWith("mw", StringComparison.Ordinal) ? "mW"
            : words.StartsWith('w') ? "W"
            : null;
        if (plain is "relative" or "counts" or "dn" or "unitless" or "none" or "arbitrary" or "au" or "raw" or "1")
        {
            return "relative";
        }

        string unit = $"{power}/{area}/{(perMicrometre ? "um" : "nm")}";
        return power is not null && (perMicrometre || perNanometre)
            ? MetadataUnit.Find(QuantityKind.SpectralIrradiance, unit)?.Word
            : null;
    }
}
