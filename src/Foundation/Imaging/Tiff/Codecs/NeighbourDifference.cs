using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace Hillrow.Imaging;

/// <summary>TIFF predictor 2: each sample as its difference from the same band's sample to the left, modulo its width.</summary>
/// <remarks>Source: TIFF Revision 6.0 (Adobe Systems 1992), section 14, extended to 16 and 32 bits as every reader does.</remarks>
public static class NeighbourDifference
{
    // Lanes moved up by so many bytes; an index beyond the vector gives 0.
    private static readonly Vector128<byte> UpBy1 = UpBy(1);
    private static readonly Vector128<byte> UpBy2 = UpBy(2);
    private static readonly Vector128<byte> UpBy4 = UpBy(4);
    private static readonly Vector128<byte> UpBy8 = UpBy(8);

    /// <summary>Differences of one row.</summary>
    /// <param name="row">Samples of the row, bands of a cell side by side.</param>
    /// <param name="stride">Bands side by side, at least 1.</param>
    /// <param name="differences">Receives the same count; must not be the same memory.</param>
    public static void Encode<T>(ReadOnlySpan<T> row, int stride, Span<T> differences)
        where T : unmanaged, IBinaryInteger<T>
    {
        differences = differences[..row.Length];
        int head = Math.Min(stride, row.Length);
        row[..head].CopyTo(differences);
        int at = head;
        // Unchecked: the format wants wrap-around.
        unchecked
        {
            for (; at <= row.Length - Vector<T>.Count; at += Vector<T>.Count)
            {
                (new Vector<T>(row[at..]) - new Vector<T>(row[(at - stride)..])).CopyTo(differences[at..]);
            }

            for (; at < row.Length; at++)
            {
                differences[at] = row[at] - row[at - stride];
            }
        }
    }

    /// <summary>Undoes <see cref="Encode{T}"/> in place.</summary>
    public static void Decode<T>(Span<T> row, int stride)
        where T : unmanaged, IBinaryInteger<T>
    {
        if (stride == 1)
        {
            SumUp(row);
            return;
        }
        // Unchecked: the format wants wrap-around.
        unchecked
        {
            int at = stride;
            for (; stride >= Vector<T>.Count && at <= row.Length - Vector<T>.Count; at += Vector<T>.Count)
            {
                (new Vector<T>(row[at..]) + new Vector<T>(row[(at - stride)..])).CopyTo(row[at..]);
            }

            for (; at < row.Length; at++)
            {
                row[at] += row[at - stride];
            }
        }
    }

    /// <summary>Running sum, sixteen bytes' worth at a time: each lane takes the lane 1, 2, 4 … below it.</summary>
    private static void SumUp<T>(Span<T> row)
        where T : unmanaged, IBinaryInteger<T>
    {
        T sum = T.Zero;
        int at = 0;
        // Unchecked: the format wants wrap-around.
        unchecked
        {
            for (; at <= row.Length - Vector128<T>.Count; at += Vector128<T>.Count)
            {
                Vector128<T> some = Vector128.Create<T>(row[at..]);
                if (Unsafe.SizeOf<T>() == 1)
                {
                    some += Vector128.Shuffle(some.AsByte(), UpBy1).As<byte, T>();
                }

                if (Unsafe.SizeOf<T>() <= 2)
                {
                    some += Vector128.Shuffle(some.AsByte(), UpBy2).As<byte, T>();
                }

                if (Unsafe.SizeOf<T>() <= 4)
                {
                    some += Vector128.Shuffle(some.AsByte(), UpBy4).As<byte, T>();
                }

                some += Vector128.Shuffle(some.AsByte(), UpBy8).As<byte, T>() + Vector128.Create(sum);
                some.CopyTo(row[at..]);
                sum = some[Vector128<T>.Count - 1];
            }

            for (; at < row.Length; at++)
            {
                sum += row[at];
                row[at] = sum;
            }
        }
    }

    private static Vector128<byte> UpBy(int bytes)
    {
        Span<byte> indices = stackalloc byte[16];
        for (int lane = 0; lane < indices.Length; lane++)
        {
            indices[lane] = lane >= bytes ? (byte)(lane - bytes) : byte.MaxValue;
        }

        return Vector128.Create<byte>(indices);
    }
}
