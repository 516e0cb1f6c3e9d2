using System.Buffers.Binary;
using System.Globalization;
using System.Text;

namespace Hillrow.Rehearsal;

/// <summary>One entry of a TIFF directory, its values already in the file's byte order.</summary>
/// <param name="Tag">Number of the tag.</param>
/// <param name="Type">TIFF 6.0 type: 1 byte, 2 text, 3 short, 4 long, 5 rational, 7 undefined, 10 signed rational.</param>
/// <param name="Count">Values.</param>
/// <param name="Bytes">Their bytes.</param>
internal sealed record CardTag(ushort Tag, ushort Type, uint Count, byte[] Bytes);

/// <summary>Makes directory entries in one byte order.</summary>
internal sealed class CardTags(bool bigEndian)
{
    public bool BigEndian { get; } = bigEndian;

    public static CardTag Text(ushort tag, string text)
    {
        byte[] bytes = [.. Encoding.ASCII.GetBytes(text), 0];
        return new CardTag(tag, 2, (uint)bytes.Length, bytes);
    }

    public static CardTag Bytes(ushort tag, byte[] bytes) => new(tag, 1, (uint)bytes.Length, bytes);

    public static CardTag Undefined(ushort tag, byte[] bytes) => new(tag, 7, (uint)bytes.Length, bytes);

    public CardTag Short(ushort tag, params ReadOnlySpan<int> values)
    {
        byte[] bytes = new byte[2 * values.Length];
        for (int index = 0; index < values.Length; index++)
        {
            Put16(bytes.AsSpan(2 * index), checked((ushort)values[index]));
        }

        return new CardTag(tag, 3, (uint)values.Length, bytes);
    }

    public CardTag Long(ushort tag, params ReadOnlySpan<uint> values)
    {
        byte[] bytes = new byte[4 * values.Length];
        for (int index = 0; index < values.Length; index++)
        {
            Put32(bytes.AsSpan(4 * index), values[index]);
        }

        return new CardTag(tag, 4, (uint)values.Length, bytes);
    }

    /// <summary>Each number with the given denominator, as cameras write them.</summary>
    public CardTag Rational(ushort tag, uint denominator, params ReadOnlySpan<double> values)
    {
        byte[] bytes = new byte[8 * values.Length];
        for (int index = 0; index < values.Length; index++)
        {
            Put32(bytes.AsSpan(8 * index), checked((uint)Math.Round(values[index] * denominator)));
            Put32(bytes.AsSpan((8 * index) + 4), denominator);
        }

        return new CardTag(tag, 5, (uint)values.Length, bytes);
    }

    public CardTag SignedRational(ushort tag, int denominator, double value)
    {
        byte[] bytes = new byte[8];
        Put32(bytes, unchecked((uint)checked((int)Math.Round(value * denominator))));
        Put32(bytes.AsSpan(4), (uint)denominator);
        return new CardTag(tag, 10, 1, bytes);
    }

    /// <summary>Degrees, minutes and seconds to a ten-thousandth of a second (3 mm).</summary>
    public CardTag DegreesMinutesSeconds(ushort tag, double degrees)
    {
        double size = Math.Abs(degrees);
        double whole = Math.Floor(size);
        double minutes = Math.Floor((size - whole) * 60);
        double seconds = (size - whole - (minutes / 60)) * 3600;
        CardTag three = Rational(tag, 1, whole, minutes, 0);
        CardTag last = Rational(tag, 100_000, Math.Max(0, seconds));
        last.Bytes.CopyTo(three.Bytes.AsSpan(16));
        return three;
    }

    public void Put16(Span<byte> to, ushort value)
    {
        if (BigEndian)
        {
            BinaryPrimitives.WriteUInt16BigEndian(to, value);
        }
        else
        {
            BinaryPrimitives.WriteUInt16LittleEndian(to, value);
        }
    }

    public void Put32(Span<byte> to, uint value)
    {
        if (BigEndian)
        {
            BinaryPrimitives.WriteUInt32BigEndian(to, value);
        }
        else
        {
            BinaryPrimitives.WriteUInt32LittleEndian(to, value);
        }
    }
}

/// <summary>Numbers as text, the same in every country.</summary>
internal static class CardText
{
    public static string Of(double value, int decimals) =>
        Math.Round(value, decimals).ToString("0." + new string('#', decimals), CultureInfo.InvariantCulture);

    public static string Fraction(double value, int denominator) =>
        string.Create(CultureInfo.InvariantCulture, $"{Math.Round(value * denominator):0}/{denominator}");
}
