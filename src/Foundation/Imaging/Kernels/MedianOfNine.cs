using System.Numerics;
using System.Runtime.InteropServices;

namespace Hillrow.Imaging;

/// <summary>3 × 3 median of many pixels at a time, by the least and largest of whole vectors; no NaN.</summary>
/// <remarks>
/// Sort each column of three; then the median of nine is the middle of (largest of the least, middle of the middles,
/// least of the largest). J. L. Smith 1996 (from memory); checked against sorting in KernelTwinTests.
/// </remarks>
internal static class MedianOfNine
{
    public static void Apply<T>(ReadOnlySpan<T> source, int rows, int columns, Border border, Span<T> result)
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        // Room for a whole vector past the end keeps the last columns in the same loop as the others.
        int stride = columns + 2 + Vector<T>.Count;
        T[] scratch = new T[3 * stride];
        Span<T> least = scratch.AsSpan(0, stride);
        Span<T> middle = scratch.AsSpan(stride, stride);
        Span<T> largest = scratch.AsSpan(2 * stride, stride);
        T[] line = new T[columns + Vector<T>.Count];
        for (int row = 0; row < rows; row++)
        {
            ReadOnlySpan<T> above = source.Slice(Borders.Index(row - 1, rows, border) * columns, columns);
            ReadOnlySpan<T> here = source.Slice(row * columns, columns);
            ReadOnlySpan<T> below = source.Slice(Borders.Index(row + 1, rows, border) * columns, columns);
            SortColumns(above, here, below, least[1..], middle[1..], largest[1..]);
            Borders.Pad(least[..(columns + 2)], columns, 1, border);
            Borders.Pad(middle[..(columns + 2)], columns, 1, border);
            Borders.Pad(largest[..(columns + 2)], columns, 1, border);
            ref T a = ref MemoryMarshal.GetReference(least);
            ref T b = ref MemoryMarshal.GetReference(middle);
            ref T c = ref MemoryMarshal.GetReference(largest);
            for (int column = 0; column < columns; column += Vector<T>.Count)
            {
                nuint at = (nuint)column;
                Vector<T> low = Vector.MaxNative(
                    Vector.MaxNative(Vector.LoadUnsafe(ref a, at), Vector.LoadUnsafe(ref a, at + 1)),
                    Vector.LoadUnsafe(ref a, at + 2)
                );
                Vector<T> high = Vector.MinNative(
                    Vector.MinNative(Vector.LoadUnsafe(ref c, at), Vector.LoadUnsafe(ref c, at + 1)),
                    Vector.LoadUnsafe(ref c, at + 2)
                );
                Vector<T> between = Middle(
                    Vector.LoadUnsafe(ref b, at),
                    Vector.LoadUnsafe(ref b, at + 1),
                    Vector.LoadUnsafe(ref b, at + 2)
                );
                Middle(low, between, high).CopyTo(line, column);
            }

            line.AsSpan(0, columns).CopyTo(result.Slice(row * columns, columns));
        }
    }

    private static void SortColumns<T>(
        ReadOnlySpan<T> above,
        ReadOnlySpan<T> here,
        ReadOnlySpan<T> below,
        Span<T> least,
        Span<T> middle,
        Span<T> largest
    )
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        int column = 0;
        for (; column <= above.Length - Vector<T>.Count; column += Vector<T>.Count)
        {
            Vector<T> a = new(above[column..]);
            Vector<T> b = new(here[column..]);
            Vector<T> c = new(below[column..]);
            Vector.MinNative(Vector.MinNative(a, b), c).CopyTo(least[column..]);
            Middle(a, b, c).CopyTo(middle[column..]);
            Vector.MaxNative(Vector.MaxNative(a, b), c).CopyTo(largest[column..]);
        }

        for (; column < above.Length; column++)
        {
            (T a, T b, T c) = (above[column], here[column], below[column]);
            T low = T.MinNative(a, b);
            T high = T.MaxNative(a, b);
            least[column] = T.MinNative(low, c);
            middle[column] = T.MaxNative(low, T.MinNative(high, c));
            largest[column] = T.MaxNative(high, c);
        }
    }

    private static Vector<T> Middle<T>(Vector<T> a, Vector<T> b, Vector<T> c)
        where T : unmanaged => Vector.MaxNative(Vector.MinNative(a, b), Vector.MinNative(Vector.MaxNative(a, b), c));
}
