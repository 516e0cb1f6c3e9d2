using System.Buffers.Binary;
using System.Text;
using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>One entry of a directory. Its values are read from the file only when asked for, and never trusted.</summary>
/// <remarks>
/// Every reading method throws <see cref="InputProblemException"/> when the values lie outside the file, exceed
/// <see cref="TiffLimits.ValueBytes"/>, or are of a kind that cannot mean what is asked.
/// </remarks>
public sealed class TiffEntry
{
    private readonly TiffFile file;
    private readonly ulong inlineBits;

    internal TiffEntry(TiffFile file, int tag, TiffValueType type, ulong count, ulong inlineBits)
    {
        this.file = file;
        this.inlineBits = inlineBits;
        Tag = tag;
        Type = type;
        Count = count;
    }

    public int Tag { get; }

    /// <summary>As written in the file; may be a number that the enumeration does not name.</summary>
    public TiffValueType Type { get; }

    /// <summary>Number of values as claimed; believed only after a check against the file's length.</summary>
    public ulong Count { get; }

    public bool IsText => Type is TiffValueType.Text;

    public bool IsRational => Type is TiffValueType.UnsignedRational or TiffValueType.SignedRational;

    public bool IsReal => Type is TiffValueType.Float32 or TiffValueType.Float64;

    public bool IsInteger =>
        Type
            is TiffValueType.Unsigned8
                or TiffValueType.Signed8
                or TiffValueType.Unsigned16
                or TiffValueType.Signed16
                or TiffValueType.Unsigned32
                or TiffValueType.Signed32
                or TiffValueType.Unsigned64
                or TiffValueType.Signed64
                or TiffValueType.Directory32
                or TiffValueType.Directory64;

    /// <summary>Bytes that all values take, or null when the type is unknown or the product has no sense.</summary>
    public long? ByteLength
    {
        get
        {
            int size = TiffValueTypes.SizeOf(Type);
            return size == 0 || Count > (ulong)(file.Length / size) + 1 ? null : (long)Count * size;
        }
    }

    /// <summary>Where the values lie when they do not fit into the entry itself.</summary>
    public long ValueOffset => unchecked((long)inlineBits) is var offset && offset >= 0 ? offset : long.MaxValue;

    public bool IsInline => ByteLength is { } length && length <= file.OffsetSize;

    /// <summary>The values' bytes as they lie in the file (in the file's byte order).</summary>
    public byte[] ReadBytes()
    {
        byte[] bytes = new byte[CheckedLength()];
        ReadBytes(bytes);
        return bytes;
    }

    /// <summary>Whole numbers of any integer type.</summary>
    public long[] ReadIntegers()
    {
        int size = RequireKind(IsInteger || Type is TiffValueType.Undefined, "whole numbers");
        byte[] bytes = ReadBytes();
        long[] values = new long[bytes.Length / size];
        for (int i = 0; i < values.Length; i++)
        {
            values[i] = IntegerAt(bytes.AsSpan(i * size, size));
        }

        return values;
    }

    /// <summary>The first whole number; null when the entry holds none.</summary>
    public long? ReadInteger()
    {
        int size = RequireKind(IsInteger || Type is TiffValueType.Undefined, "whole numbers");
        if (Count == 0)
        {
            return null;
        }

        Span<byte> bytes = stackalloc byte[8];
        ReadFirst(bytes[..size]);
        return IntegerAt(bytes[..size]);
    }

    public Rational[] ReadRationals()
    {
        RequireKind(IsRational, "rationals");
        byte[] bytes = ReadBytes();
        Rational[] values = new Rational[bytes.Length / 8];
        for (int i = 0; i < values.Length; i++)
        {
            uint top = file.UInt32(bytes.AsSpan(i * 8, 4));
            uint bottom = file.UInt32(bytes.AsSpan((i * 8) + 4, 4));
            values[i] =
                Type == TiffValueType.SignedRational
                    ? new Rational(unchecked((int)top), unchecked((int)bottom))
                    : new Rational(top, bottom);
        }

        return values;
    }

    /// <summary>Numbers of any numeric type as doubles; a rational with denominator 0 becomes NaN.</summary>
    public double[] ReadDoubles()
    {
        if (IsRational)
        {
            return Array.ConvertAll(ReadRationals(), static value => value.Value ?? double.NaN);
        }

        if (!IsReal)
        {
            return Array.ConvertAll(ReadIntegers(), static value => (double)value);
        }

        byte[] bytes = ReadBytes();
        int size = TiffValueTypes.SizeOf(Type);
        double[] values = new double[bytes.Length / size];
        for (int i = 0; i < values.Length; i++)
        {
            ReadOnlySpan<byte> one = bytes.AsSpan(i * size, size);
            values[i] =
                size == 4
                    ? BitConverter.UInt32BitsToSingle(file.UInt32(one))
                    : BitConverter.UInt64BitsToDouble(file.UInt64(one));
        }

        return values;
    }

    /// <summary>Text up to its first NUL; UTF-8 where valid, Latin-1 otherwise. Any one-byte type may hold text.</summary>
    public string ReadText() => TextOf(ReadTextBytes());

    /// <summary>All NUL-separated strings of a text entry (TIFF allows several in one entry).</summary>
    public string[] ReadTexts()
    {
        byte[] bytes = ReadTextBytes();
        int end = bytes.Length;
        while (end > 0 && bytes[end - 1] == 0)
        {
            end--;
        }

        List<string> texts = [];
        for (int start = 0; start <= end; )
        {
            int stop = Array.IndexOf(bytes, (byte)0, start, end - start);
            stop = stop < 0 ? end : stop;
            texts.Add(Decode(bytes.AsSpan(start, stop - start)));
            start = stop + 1;
        }

        return [.. texts];
    }

    public override string ToString() => FormattableString.Invariant($"tag {Tag}, {Type} × {Count}");

    internal static string Decode(ReadOnlySpan<byte> bytes)
    {
        try
        {
            return StrictUtf8.GetString(bytes);
        }
        catch (DecoderFallbackException)
        {
            return Encoding.Latin1.GetString(bytes);
        }
    }

    private static UTF8Encoding StrictUtf8 { get; } = new(false, throwOnInvalidBytes: true);

    private static string TextOf(byte[] bytes)
    {
        int stop = Array.IndexOf(bytes, (byte)0);
        return Decode(bytes.AsSpan(0, stop < 0 ? bytes.Length : stop));
    }

    private byte[] ReadTextBytes()
    {
        RequireKind(TiffValueTypes.SizeOf(Type) == 1, "text");
        return ReadBytes();
    }

    private void ReadBytes(Span<byte> bytes)
    {
        if (bytes.Length <= file.OffsetSize)
        {
            ReadFirst(bytes);
        }
        else
        {
            file.ReadExactly(ValueOffset, bytes, FormattableString.Invariant($"the value of tag {Tag}"));
        }
    }

    private void ReadFirst(Span<byte> bytes)
    {
        if (CheckedLength() <= file.OffsetSize)
        {
            // The entry's own value field, put back into the file's byte order.
            Span<byte> field = stackalloc byte[8];
            if (file.OffsetSize == 8)
            {
                file.PutUInt64(field, inlineBits);
            }
            else
            {
                file.PutUInt32(field, (uint)inlineBits);
            }

            field[..bytes.Length].CopyTo(bytes);
        }
        else
        {
            file.ReadExactly(ValueOffset, bytes, FormattableString.Invariant($"the value of tag {Tag}"));
        }
    }

    private long IntegerAt(ReadOnlySpan<byte> bytes)
    {
        switch (Type)
        {
            case TiffValueType.Unsigned8 or TiffValueType.Undefined:
                return bytes[0];
            case TiffValueType.Signed8:
                return unchecked((sbyte)bytes[0]);
            case TiffValueType.Unsigned16:
                return file.UInt16(bytes);
            case TiffValueType.Signed16:
                return unchecked((short)file.UInt16(bytes));
            case TiffValueType.Unsigned32 or TiffValueType.Directory32:
                return file.UInt32(bytes);
            case TiffValueType.Signed32:
                return unchecked((int)file.UInt32(bytes));
            case TiffValueType.Signed64:
                return unchecked((long)file.UInt64(bytes));
            default:
                ulong value = file.UInt64(bytes);
                return value <= long.MaxValue
                    ? (long)value
                    : throw file.Damaged(FormattableString.Invariant($"tag {Tag} holds the absurd number {value}."));
        }
    }

    private int RequireKind(bool fits, string kind) =>
        fits
            ? TiffValueTypes.SizeOf(Type)
            : throw file.Damaged(
                FormattableString.Invariant($"tag {Tag} should hold {kind} but is of field type {(int)Type}.")
            );

    private int CheckedLength()
    {
        int size = TiffValueTypes.SizeOf(Type);
        if (size == 0)
        {
            throw file.Damaged(FormattableString.Invariant($"tag {Tag} is of the unknown field type {(int)Type}."));
        }

        if (ByteLength is not { } length || (length > file.OffsetSize && length > file.Length))
        {
            throw file.Damaged(
                FormattableString.Invariant(
                    $"tag {Tag} claims {Count} values of {size} bytes, more than the whole file ({file.Length} bytes)."
                )
            );
        }

        if (length > file.Limits.ValueBytes)
        {
            throw file.Damaged(
                FormattableString.Invariant(
                    $"tag {Tag} claims {length} bytes, above the limit of {file.Limits.ValueBytes}."
                )
            );
        }

        return (int)length;
    }
}
