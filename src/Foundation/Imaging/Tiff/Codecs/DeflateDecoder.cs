using System.IO.Compression;

namespace Hillrow.Imaging;

/// <summary>The zlib stream of TIFF's Deflate compression (RFC 1950, RFC 1951).</summary>
public static class DeflateDecoder
{
    /// <returns>Bytes decoded; fewer than the target's length when the stream is cut short or damaged.</returns>
    public static unsafe int Decode(ReadOnlySpan<byte> encoded, Span<byte> decoded)
    {
        int total = 0;
        fixed (byte* start = encoded)
        {
            if (start == null)
            {
                return 0;
            }

            using UnmanagedMemoryStream bytes = new(start, encoded.Length);
            using ZLibStream stream = new(bytes, CompressionMode.Decompress);
            try
            {
                while (total < decoded.Length)
                {
                    int got = stream.Read(decoded[total..]);
                    if (got == 0)
                    {
                        break;
                    }

                    total += got;
                }
            }
            catch (Exception fault) when (fault is InvalidDataException or EndOfStreamException)
            {
                // What came before the damage counts; the caller compares the length.
                return total;
            }
        }

        return total;
    }
}
