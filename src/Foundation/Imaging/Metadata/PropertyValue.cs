using System.Globalization;

namespace Hillrow.Imaging;

/// <summary>How a property's values are written in the file.</summary>
public enum PropertyForm
{
    Integers,
    Rationals,
    Reals,
    Texts,

    /// <summary>Bytes of undefined meaning: one value, whatever the length.</summary>
    Bytes,
}

/// <summary>The values of one property, exactly as the file holds them.</summary>
public sealed class PropertyValue
{
    private readonly Array values;

    private PropertyValue(PropertyForm form, Array values)
    {
        Form = form;
        this.values = values;
    }

    public PropertyForm Form { get; }

    /// <summary>Number of values; 1 for bytes.</summary>
    public int Count => Form == PropertyForm.Bytes ? 1 : values.Length;

    public static PropertyValue OfIntegers(long[] values) => new(PropertyForm.Integers, values);

    public static PropertyValue OfRationals(Rational[] values) => new(PropertyForm.Rationals, values);

    public static PropertyValue OfReals(double[] values) => new(PropertyForm.Reals, values);

    public static PropertyValue OfTexts(string[] values) => new(PropertyForm.Texts, values);

    public static PropertyValue OfBytes(byte[] values) => new(PropertyForm.Bytes, values);

    /// <exception cref="InvalidCastException">The values are not of that form.</exception>
    public IReadOnlyList<long> Integers => (long[])values;

    /// <exception cref="InvalidCastException">The values are not of that form.</exception>
    public IReadOnlyList<Rational> Rationals => (Rational[])values;

    /// <exception cref="InvalidCastException">The values are not of that form.</exception>
    public IReadOnlyList<double> Reals => (double[])values;

    /// <exception cref="InvalidCastException">The values are not of that form.</exception>
    public IReadOnlyList<string> Texts => (string[])values;

    /// <exception cref="InvalidCastException">The values are not of that form.</exception>
    public ReadOnlySpan<byte> Bytes => (byte[])values;

    /// <summary>One value as text: rationals as "1/250", reals so that they read back the same.</summary>
    public string Text(int index) =>
        Form switch
        {
            PropertyForm.Integers => Integers[index].ToString(CultureInfo.InvariantCulture),
            PropertyForm.Rationals => Rationals[index].ToString(),
            PropertyForm.Reals => Reals[index].ToString("R", CultureInfo.InvariantCulture),
            PropertyForm.Texts => Texts[index],
            _ => TextOfBytes(Bytes),
        };

    /// <summary>One value as a number, or null when it is none (text that is not a plain decimal, x/0, bytes).</summary>
    public double? Number(int index) =>
        Form switch
        {
            PropertyForm.Integers => Integers[index],
            PropertyForm.Rationals => Rationals[index].Value,
            PropertyForm.Reals => double.IsFinite(Reals[index]) ? Reals[index] : null,
            PropertyForm.Texts => NumberText.Parse(Texts[index]),
            _ => NumberText.Parse(TextOfBytes(Bytes)),
        };

    /// <summary>All values, joined by a blank.</summary>
    public override string ToString()
    {
        const int shown = 64;
        IEnumerable<string> texts = Enumerable.Range(0, Math.Min(Count, shown)).Select(Text);
        return string.Join(' ', texts) + (Count > shown ? " …" : "");
    }

    /// <summary>Text within bytes: an EXIF comment's 8-byte code mark is passed over, padding cut off.</summary>
    private static string TextOfBytes(ReadOnlySpan<byte> bytes)
    {
        if (bytes.Length >= 8 && (bytes[..8].SequenceEqual("ASCII\0\0\0"u8) || bytes[..8].SequenceEqual(new byte[8])))
        {
            bytes = bytes[8..];
        }

        int stop = bytes.IndexOf((byte)0);
        return TiffEntry.Decode(stop < 0 ? bytes : bytes[..stop]).TrimEnd();
    }
}
