using System.Buffers.Binary;
using System.Runtime.InteropServices;

namespace Hillrow.Imaging;

/// <summary>Which differencing a writer applied to each row before compressing (tag 317), and how it is undone.</summary>
public static class TiffPredictor
{
    public const int None = 1;

    /// <summary><see cref="NeighbourDifference"/>.</summary>
    public const int Horizontal = 2;

    /// <summary><see cref="FloatingPointPredictor"/>.</summary>
    public const int FloatingPoint = 3;

    /// <summary>Turns one row as decompressed into samples in this machine's byte order.</summary>
    /// <param name="predictor"><see cref="None"/>, <see cref="Horizontal"/> or <see cref="FloatingPoint"/>.</param>
    /// <param name="row">Overwritten.</param>
    /// <param name="sampleBytes">1, 2, 4 or 8.</param>
    /// <param name="stride">Samples side by side in a cell.</param>
    /// <param name="isForeign">True when the file has the other byte order than this machine.</param>
    /// <param name="scratch">At least as long as the row.</param>
    /// <returns>The samples: in <paramref name="row"/>, or in <paramref name="scratch"/>.</returns>
    public static Span<byte> Undo(
        int predictor,
        Span<byte> row,
        int sampleBytes,
        int stride,
        bool isForeign,
        Span<byte> scratch
    )
    {
        if (predictor == FloatingPoint)
        {
            // Planes of bytes run from the most significant one in files of either byte order: nothing to swap.
            FloatingPointPredictor.Decode(row, sampleBytes, stride, scratch);
            return scratch[..row.Length];
        }

        if (isForeign)
        {
            SwapBytes(row, sampleBytes);
        }

        if (predictor == Horizontal)
        {
            switch (sampleBytes)
            {
                case 1:
                    NeighbourDifference.Decode(row, stride);
                    break;
                case 2:
                    NeighbourDifference.Decode(MemoryMarshal.Cast<byte, ushort>(row), stride);
                    break;
                case 4:
                    NeighbourDifference.Decode(MemoryMarshal.Cast<byte, uint>(row), stride);
                    break;
                default:
                    NeighbourDifference.Decode(MemoryMarshal.Cast<byte, ulong>(row), stride);
                    break;
            }
        }

        return row;
    }

    /// <summary>Turns samples of the other byte order into this machine's, in place.</summary>
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
