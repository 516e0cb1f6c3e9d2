using System.IO.Compression;

namespace Hillrow.Imaging;

/// <summary>The zlib stream of TIFF's Deflate compression (RFC 1950, RFC 1951).</summary>
public static class DeflateDecoder
{
    /// <param name="encoded">The stream; what follows it is not looked at.</param>
    /// <param name="decoded">Receives the bytes.</param>
    /// <returns>
    /// Bytes decoded; fewer than the target's length when the stream ends before, is cut short or damaged, or its checksum
    /// says that it is not what was written.
    /// </returns>
    public static int Decode(ReadOnlySpan<byte> encoded, Span<byte> decoded)
    {
        if (encoded.IsEmpty || decoded.IsEmpty)
        {
            return 0;
        }

        int whole = FastDeflate.IsThere ? FastDeflate.Decode(encoded, decoded) : -1;
        // What is not whole is looked at by the runtime's zlib: it tells how far the sound part goes.
        return whole >= 0 ? whole : DecodeWhatIsSound(encoded, decoded);
    }

    /// <summary>By the runtime's zlib, as far as the stream is sound.</summary>
    internal static unsafe int DecodeWhatIsSound(ReadOnlySpan<byte> encoded, Span<byte> decoded)
    {
        int total = 0;
        fixed (byte* start = encoded)
        {
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
            catch (Exception fault) when (fault is InvalidDataException or IOException)
            {
                // What came before the damage counts; the caller compares the length.
                return total;
            }
        }

        return total;
    }
}
