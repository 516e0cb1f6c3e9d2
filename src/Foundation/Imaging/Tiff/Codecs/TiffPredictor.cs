using System.Buffers.Binary;
using System.Runtime.InteropServices;

namespace Hillrow.Imaging;

/// <summary>Undoes the differencing that some writers apply to each row before compressing (tag 317).</summary>
/// <remarks>
/// Sources: TIFF 6.0, section 14 (horizontal differencing); Adobe Photoshop TIFF Technical Note 3 (2005, floating
/// point). All arithmetic wraps around by design.
/// </remarks>
public static class TiffPredictor
{
    public const int None = 1;
    public const int Horizontal = 2;
    public const int FloatingPoint = 3;

    /// <summary>Horizontal differencing of one row of 8-bit samples, in place.</summary>
    /// <param name="stride">Interleaved samples of a pixel.</param>
    public static void UndoHorizontal8(Span<byte> row, int stride)
    {
        unchecked
        {
            for (int i = stride; i < row.Length; i++)
            {
                row[i] += row[i - stride];
            }
        }
    }

    /// <summary>Horizontal differencing of one row of 16-bit samples in this machine's byte order, in place.</summary>
    public static void UndoHorizontal16(Span<ushort> row, int stride)
    {
        unchecked
        {
            if (stride == 1)
            {
                ushort sum = 0;
                for (int i = 0; i < row.Length; i++)
                {
                    sum += row[i];
                    row[i] = sum;
                }

                return;
            }

            for (int i = stride; i < row.Length; i++)
            {
                row[i] += row[i - stride];
            }
        }
    }

    /// <summary>Horizontal differencing of one row of 32-bit samples in this machine's byte order, in place.</summary>
    public static void UndoHorizontal32(Span<uint> row, int stride)
    {
        unchecked
        {
            for (int i = stride; i < row.Length; i++)
            {
                row[i] += row[i - stride];
            }
        }
    }

    /// <summary>Horizontal differencing of one row of 64-bit samples in this machine's byte order, in place.</summary>
    public static void UndoHorizontal64(Span<ulong> row, int stride)
    {
        unchecked
        {
            for (int i = stride; i < row.Length; i++)
            {
                row[i] += row[i - stride];
            }
        }
    }

    /// <summary>
    /// Floating-point differencing of one row, in place: bytes are summed along the row, then put together from
    /// planes of equal significance, the most significant first.
    /// </summary>
    /// <param name="row">Samples × size bytes; afterwards in this machine's (little-endian) byte order.</param>
    /// <param name="stride">Interleaved samples of a pixel.</param>
    /// <param name="sampleBytes">2, 4 or 8.</param>
    /// <param name="scratch">At least as long as the row.</param>
    public static void UndoFloatingPoint(Span<byte> row, int stride, int sampleBytes, Span<byte> scratch)
    {
        UndoHorizontal8(row, stride);
        row.CopyTo(scratch);
        int samples = row.Length / sampleBytes;
        unchecked
        {
            if (sampleBytes == 4)
            {
                ReadOnlySpan<byte> top = scratch[..samples];
                ReadOnlySpan<byte> second = scratch.Slice(samples, samples);
                ReadOnlySpan<byte> third = scratch.Slice(2 * samples, samples);
                ReadOnlySpan<byte> low = scratch.Slice(3 * samples, samples);
                Span<uint> words = MemoryMarshal.Cast<byte, uint>(row)[..samples];
                for (int i = 0; i < words.Length; i++)
                {
                    words[i] = ((uint)top[i] << 24) | ((uint)second[i] << 16) | ((uint)third[i] << 8) | low[i];
                }

                return;
            }

            for (int i = 0; i < samples; i++)
            {
                for (int plane = 0; plane < sampleBytes; plane++)
                {
                    row[(i * sampleBytes) + sampleBytes - 1 - plane] = scratch[(plane * samples) + i];
                }
            }
        }
    }

    /// <summary>Turns samples of a big-endian file into this machine's byte order, in place.</summary>
    public static void SwapBytes(Span<byte> samples, int sampleBytes)
    {
        switch (sampleBytes)
        {
            case 2:
                Span<ushort> halves = MemoryMarshal.Cast<byte, ushort>(samples);
                BinaryPrimitives.ReverseEndianness(halves, halves);
                break;
            case 4:
                Span<uint> words = MemoryMarshal.Cast<byte, uint>(samples);
                BinaryPrimitives.ReverseEndianness(words, words);
                break;
            case 8:
                Span<ulong> longs = MemoryMarshal.Cast<byte, ulong>(samples);
                BinaryPrimitives.ReverseEndianness(longs, longs);
                break;
            default:
                break;
        }
    }
}
