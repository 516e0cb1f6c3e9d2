namespace Hillrow.Imaging;

/// <summary>Values of tag 259 that are read here.</summary>
public enum TiffCompression
{
    None = 1,
    Lzw = 5,
    Jpeg = 7,
    Deflate = 8,
    PackBits = 32773,

    /// <summary>The older number of the same Deflate.</summary>
    DeflateOld = 32946,
}

/// <summary>Undoes the compression of one strip or tile.</summary>
public static class TiffDecompression
{
    /// <summary>True for what <see cref="Decode"/> undoes.</summary>
    public static bool IsKnown(TiffCompression compression) =>
        compression
            is TiffCompression.None
                or TiffCompression.Lzw
                or TiffCompression.Deflate
                or TiffCompression.DeflateOld
                or TiffCompression.PackBits;

    /// <summary>
    /// The most bytes that so many compressed bytes can become: a claim above it is a lie, and no memory is spent on it.
    /// </summary>
    /// <remarks>
    /// Deflate: 258 bytes from 2 bits (RFC 1951), 1032:1. LZW: codes of 12 bits name strings of at most 3,840 bytes,
    /// 2,560:1. PackBits: 128 bytes from 2. Rounded up, and never below 64 KiB.
    /// </remarks>
    public static long MostDecodedBytes(TiffCompression compression, long encodedBytes)
    {
        long factor = compression switch
        {
            TiffCompression.None => 1,
            TiffCompression.PackBits => 64,
            TiffCompression.Lzw => 2_731,
            _ => 1_040,
        };
        return encodedBytes > long.MaxValue / factor ? long.MaxValue : encodedBytes * factor;
    }

    /// <summary>Decodes until the target is full or the block ends.</summary>
    /// <param name="encoded">Bytes of the block as in the file.</param>
    /// <param name="decoded">Receives the bytes; what lies beyond the result may be overwritten.</param>
    /// <returns>Bytes decoded, at most the target's length; fewer than expected when the block is cut short or damaged.</returns>
    /// <exception cref="ArgumentOutOfRangeException">Not <see cref="IsKnown"/>.</exception>
    public static int Decode(TiffCompression compression, ReadOnlySpan<byte> encoded, Span<byte> decoded)
    {
        switch (compression)
        {
            case TiffCompression.None:
                int count = Math.Min(encoded.Length, decoded.Length);
                encoded[..count].CopyTo(decoded);
                return count;
            case TiffCompression.Lzw:
                return LzwDecoder.Decode(encoded, decoded);
            case TiffCompression.Deflate or TiffCompression.DeflateOld:
                return DeflateDecoder.Decode(encoded, decoded);
            case TiffCompression.PackBits:
                return PackBitsDecoder.Decode(encoded, decoded);
            default:
                throw new ArgumentOutOfRangeException(nameof(compression), compression, "Not a compression read here.");
        }
    }
}
