using System.Buffers.Binary;

namespace Hillrow.Imaging;

/// <summary>The zlib stream of TIFF's Deflate compression (RFC 1950, RFC 1951).</summary>
public static class DeflateDecoder
{
    private const int HeaderBytes = 2;
    private const int ChecksumBytes = 4;

    /// <param name="encoded">The stream; what follows it is not looked at.</param>
    /// <param name="decoded">Receives the bytes; a few beyond the result may be overwritten too.</param>
    /// <returns>
    /// Bytes decoded; fewer than the target's length when the stream ends before, is cut short or damaged. 0 when
    /// everything was decoded but what follows at once is damaged, or the checksum says that it is not what was written.
    /// </returns>
    public static int Decode(ReadOnlySpan<byte> encoded, Span<byte> decoded)
    {
        if (encoded.Length < HeaderBytes || !IsHeader(encoded[0], encoded[1]))
        {
            return 0;
        }

        InflationEnd end = Inflation.Run(encoded[HeaderBytes..], decoded, out int used, out int written);
        ReadOnlySpan<byte> checksum = encoded[(HeaderBytes + used)..];
        bool isFalse =
            end == InflationEnd.Complete
            && checksum.Length >= ChecksumBytes
            && BinaryPrimitives.ReadUInt32BigEndian(checksum) != Adler32.Of(decoded[..written]);
        bool goesWrongAtOnce = end == InflationEnd.Damaged && written == decoded.Length;
        return isFalse || goesWrongAtOnce ? 0 : written;
    }

    /// <summary>Method 8 (Deflate), a window of 32 KiB at most, no preset dictionary, check bits right.</summary>
    private static bool IsHeader(byte method, byte flags) =>
        (method & 0x0F) == 8 && method >> 4 <= 7 && (flags & 0x20) == 0 && ((method << 8) | flags) % 31 == 0;
}
