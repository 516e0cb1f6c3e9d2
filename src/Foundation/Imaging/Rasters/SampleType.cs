using System.Numerics;

namespace Hillrow.Imaging;

/// <summary>How a number is stored in a file. The last three are read only.</summary>
public enum SampleType
{
    Byte,
    SByte,
    UInt16,
    Int16,
    UInt32,
    Int32,
    Float32,
    Float64,
    Float16,
    UInt64,
    Int64,
}

/// <summary>Facts about sample types.</summary>
public static class SampleTypes
{
    /// <summary>The stored type of a number type.</summary>
    /// <exception cref="NotSupportedException">Rasters do not hold T.</exception>
    public static SampleType Of<T>()
        where T : unmanaged =>
        typeof(T) == typeof(byte) ? SampleType.Byte
        : typeof(T) == typeof(sbyte) ? SampleType.SByte
        : typeof(T) == typeof(ushort) ? SampleType.UInt16
        : typeof(T) == typeof(short) ? SampleType.Int16
        : typeof(T) == typeof(uint) ? SampleType.UInt32
        : typeof(T) == typeof(int) ? SampleType.Int32
        : typeof(T) == typeof(float) ? SampleType.Float32
        : typeof(T) == typeof(double) ? SampleType.Float64
        : throw new NotSupportedException(
            $"Rasters do not hold {typeof(T).Name}: byte, sbyte, short, ushort, int, uint, float and double are held."
        );

    public static int BytesOf(SampleType type) =>
        type switch
        {
            SampleType.Byte or SampleType.SByte => 1,
            SampleType.UInt16 or SampleType.Int16 or SampleType.Float16 => 2,
            SampleType.UInt32 or SampleType.Int32 or SampleType.Float32 => 4,
            _ => 8,
        };

    public static bool IsFloatingPoint(SampleType type) =>
        type is SampleType.Float16 or SampleType.Float32 or SampleType.Float64;

    /// <summary>TIFF SampleFormat (tag 339): 1 unsigned, 2 signed, 3 IEEE floating point.</summary>
    public static int TiffFormatOf(SampleType type) =>
        type switch
        {
            SampleType.Byte or SampleType.UInt16 or SampleType.UInt32 or SampleType.UInt64 => 1,
            SampleType.SByte or SampleType.Int16 or SampleType.Int32 or SampleType.Int64 => 2,
            _ => 3,
        };

    /// <summary>The no-data value as T; null for none and for NaN, which needs no value of its own.</summary>
    /// <exception cref="ArgumentException">T cannot hold the value exactly (floating point: not even nearly).</exception>
    public static T? NoDataAs<T>(double? noData)
        where T : unmanaged, INumber<T>
    {
        if (noData is not double value || double.IsNaN(value))
        {
            return noData is null || IsFloatingPoint(Of<T>())
                ? null
                : throw new ArgumentException($"{typeof(T).Name} cannot hold NaN as no-data value.", nameof(noData));
        }

        T converted = T.CreateSaturating(value);
        return IsFloatingPoint(Of<T>()) || double.CreateSaturating(converted).Equals(value)
            ? converted
            : throw new ArgumentException($"{typeof(T).Name} cannot hold the no-data value {value}.", nameof(noData));
    }
}
