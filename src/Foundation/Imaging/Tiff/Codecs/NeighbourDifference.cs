using System.Numerics;

namespace Hillrow.Imaging;

/// <summary>TIFF predictor 2: each sample as its difference from the same band's sample to the left, modulo its width.</summary>
/// <remarks>Source: TIFF Revision 6.0 (Adobe Systems 1992), section 14, extended to 16 and 32 bits as every reader does.</remarks>
public static class NeighbourDifference
{
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
        // Unchecked: the format wants wrap-around.
        unchecked
        {
            if (stride == 1)
            {
                T sum = T.Zero;
                for (int at = 0; at < row.Length; at++)
                {
                    sum += row[at];
                    row[at] = sum;
                }

                return;
            }

            for (int at = stride; at < row.Length; at++)
            {
                row[at] += row[at - stride];
            }
        }
    }
}
