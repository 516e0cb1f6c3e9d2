using System.Numerics;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Hillrow.Imaging;

/// <summary>
/// TIFF predictor 3: the bytes of a row's floating-point samples sorted by significance, highest first, then each
/// byte as its difference from the one to its left.
/// </summary>
/// <remarks>Source: TIFF Technical Note 3 (Adobe Systems 2005), from memory; libtiff's files agree (tests).</remarks>
public static class FloatingPointPredictor
{
    /// <summary>Encodes one row.</summary>
    /// <param name="row">Samples of the row as little-endian bytes, bands of a cell side by side.</param>
    /// <param name="sampleBytes">2, 4 or 8.</param>
    /// <param name="stride">Bands side by side, at least 1.</param>
    /// <param name="scratch">At least as long as <paramref name="row"/>; overwritten.</param>
    /// <param name="encoded">Receives the same number of bytes.</param>
    public static void Encode(
        ReadOnlySpan<byte> row,
        int sampleBytes,
        int stride,
        Span<byte> scratch,
        Span<byte> encoded
    )
    {
        scratch = scratch[..row.Length];
        int samples = row.Length / sampleBytes;
        int done = sampleBytes == 4 ? SortFloats(row, scratch, samples) : 0;
        for (int plane = 0; plane < sampleBytes; plane++)
        {
            int from = sampleBytes - 1 - plane;
            for (int sample = done; sample < samples; sample++)
            {
                scratch[(plane * samples) + sample] = row[(sample * sampleBytes) + from];
            }
        }

        NeighbourDifference.Encode<byte>(scratch, stride, encoded);
    }

    /// <summary>Decodes one row.</summary>
    /// <param name="encoded">Bytes of the row; overwritten.</param>
    /// <param name="sampleBytes">2, 4 or 8.</param>
    /// <param name="stride">Bands side by side, at least 1.</param>
    /// <param name="row">Receives the samples as little-endian bytes, as many as <paramref name="encoded"/>.</param>
    public static void Decode(Span<byte> encoded, int sampleBytes, int stride, Span<byte> row)
    {
        row = row[..encoded.Length];
        NeighbourDifference.Decode(encoded, stride);

        int samples = encoded.Length / sampleBytes;
        int done = sampleBytes == 4 ? JoinFloats(encoded, row, samples) : 0;
        for (int plane = 0; plane < sampleBytes; plane++)
        {
            int to = sampleBytes - 1 - plane;
            for (int sample = done; sample < samples; sample++)
            {
                row[(sample * sampleBytes) + to] = encoded[(plane * samples) + sample];
            }
        }
    }

    private static int SortFloats(ReadOnlySpan<byte> row, Span<byte> planes, int samples)
    {
        ReadOnlySpan<uint> bits = MemoryMarshal.Cast<byte, uint>(row);
        int at = 0;
        for (; at <= samples - 32; at += 32)
        {
            Vector256<uint> a = Vector256.Create(bits[at..]);
            Vector256<uint> b = Vector256.Create(bits[(at + 8)..]);
            Vector256<uint> c = Vector256.Create(bits[(at + 16)..]);
            Vector256<uint> d = Vector256.Create(bits[(at + 24)..]);
            for (int plane = 3; plane >= 0; plane--)
            {
                Vector256<uint> low = Vector256.Create(0xFFu);
                Vector256
                    .Narrow(Vector256.Narrow(a & low, b & low), Vector256.Narrow(c & low, d & low))
                    .CopyTo(planes[((plane * samples) + at)..]);
                a >>>= 8;
                b >>>= 8;
                c >>>= 8;
                d >>>= 8;
            }
        }

        return at;
    }

    private static int JoinFloats(ReadOnlySpan<byte> planes, Span<byte> row, int samples)
    {
        Span<uint> bits = MemoryMarshal.Cast<byte, uint>(row);
        int at = 0;
        for (; at <= samples - 32; at += 32)
        {
            Vector256<byte> top = Vector256.Create(planes[at..]);
            Vector256<byte> upper = Vector256.Create(planes[(samples + at)..]);
            Vector256<byte> lower = Vector256.Create(planes[((2 * samples) + at)..]);
            Vector256<byte> bottom = Vector256.Create(planes[((3 * samples) + at)..]);
            Join(
                (Vector256.WidenLower(top) << 8) | Vector256.WidenLower(upper),
                (Vector256.WidenLower(lower) << 8) | Vector256.WidenLower(bottom),
                bits[at..]
            );
            Join(
                (Vector256.WidenUpper(top) << 8) | Vector256.WidenUpper(upper),
                (Vector256.WidenUpper(lower) << 8) | Vector256.WidenUpper(bottom),
                bits[(at + 16)..]
            );
        }

        return at;

        static void Join(Vector256<ushort> high, Vector256<ushort> low, Span<uint> to)
        {
            ((Vector256.WidenLower(high) << 16) | Vector256.WidenLower(low)).CopyTo(to);
            ((Vector256.WidenUpper(high) << 16) | Vector256.WidenUpper(low)).CopyTo(to[8..]);
        }
    }
}
