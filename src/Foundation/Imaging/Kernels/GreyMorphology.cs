using System.Buffers;
using System.Numerics;
using System.Runtime.InteropServices;

namespace Hillrow.Imaging;

/// <summary>Grey-scale erosion (least value in a neighbourhood), dilation (largest), and what is made of them.</summary>
/// <remarks>Pixels outside the picture are left out. NaN is not allowed: fill voids first.</remarks>
public static class GreyMorphology
{
    /// <param name="source">Rows × columns, row-major, no NaN.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="element">The neighbourhood.</param>
    /// <param name="result">The same shape; must not overlap the source.</param>
    public static void Erode<T>(
        ReadOnlySpan<T> source,
        int rows,
        int columns,
        StructuringElement element,
        Span<T> result
    )
        where T : unmanaged, IFloatingPointIeee754<T> => Extreme<T, Least>(source, rows, columns, element, result);

    /// <inheritdoc cref="Erode"/>
    public static void Dilate<T>(
        ReadOnlySpan<T> source,
        int rows,
        int columns,
        StructuringElement element,
        Span<T> result
    )
        where T : unmanaged, IFloatingPointIeee754<T> => Extreme<T, Largest>(source, rows, columns, element, result);

    /// <summary>Erosion, then dilation: removes bright spots smaller than the element.</summary>
    /// <inheritdoc cref="Erode"/>
    public static void Open<T>(
        ReadOnlySpan<T> source,
        int rows,
        int columns,
        StructuringElement element,
        Span<T> result
    )
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        T[] between = new T[source.Length];
        Erode(source, rows, columns, element, between);
        Dilate<T>(between, rows, columns, element, result);
    }

    /// <summary>Dilation, then erosion: fills dark spots smaller than the element.</summary>
    /// <inheritdoc cref="Erode"/>
    public static void Close<T>(
        ReadOnlySpan<T> source,
        int rows,
        int columns,
        StructuringElement element,
        Span<T> result
    )
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        T[] between = new T[source.Length];
        Dilate(source, rows, columns, element, between);
        Erode<T>(between, rows, columns, element, result);
    }

    /// <summary>Picture less its opening: the bright spots smaller than the element.</summary>
    /// <inheritdoc cref="Erode"/>
    public static void TopHat<T>(
        ReadOnlySpan<T> source,
        int rows,
        int columns,
        StructuringElement element,
        Span<T> result
    )
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        Open(source, rows, columns, element, result);
        for (int index = 0; index < source.Length; index++)
        {
            result[index] = source[index] - result[index];
        }
    }

    private interface IExtreme
    {
        static abstract Vector<T> Of<T>(Vector<T> a, Vector<T> b)
            where T : unmanaged;

        static abstract T Of<T>(T a, T b)
            where T : IFloatingPointIeee754<T>;

        static abstract T Neutral<T>()
            where T : IFloatingPointIeee754<T>;
    }

    private readonly struct Least : IExtreme
    {
        public static Vector<T> Of<T>(Vector<T> a, Vector<T> b)
            where T : unmanaged => Vector.MinNative(a, b);

        public static T Of<T>(T a, T b)
            where T : IFloatingPointIeee754<T> => a < b ? a : b;

        public static T Neutral<T>()
            where T : IFloatingPointIeee754<T> => T.PositiveInfinity;
    }

    private readonly struct Largest : IExtreme
    {
        public static Vector<T> Of<T>(Vector<T> a, Vector<T> b)
            where T : unmanaged => Vector.MaxNative(a, b);

        public static T Of<T>(T a, T b)
            where T : IFloatingPointIeee754<T> => a > b ? a : b;

        public static T Neutral<T>()
            where T : IFloatingPointIeee754<T> => T.NegativeInfinity;
    }

    /// <summary>For every result row: runs of each width are taken over the rows that share it, then the row of the widest is shared.</summary>
    private static void Extreme<T, TExtreme>(
        ReadOnlySpan<T> source,
        int rows,
        int columns,
        StructuringElement element,
        Span<T> result
    )
        where T : unmanaged, IFloatingPointIeee754<T>
        where TExtreme : struct, IExtreme
    {
        Shapes.Check<T, T>(source, rows, columns, result);
        Shapes.CheckApart<T>(source, result);
        int radius = element.Radius;
        int length = columns + (2 * radius);
        T[] rented = ArrayPool<T>.Shared.Rent(length);
        Span<T> padded = rented.AsSpan(0, length);
        padded.Fill(TExtreme.Neutral<T>());
        Span<T> line = padded.Slice(radius, columns);
        if (element.IsSquare)
        {
            // A square is a column of rows: first down the columns into a line, then along that line.
            for (int row = 0; row < rows; row++)
            {
                line.Fill(TExtreme.Neutral<T>());
                for (int at = Math.Max(0, row - radius); at <= Math.Min(rows - 1, row + radius); at++)
                {
                    Merge<T, TExtreme>(source.Slice(at * columns, columns), line);
                }

                Span<T> into = result.Slice(row * columns, columns);
                into.Fill(TExtreme.Neutral<T>());
                Slide<T, TExtreme>(padded, radius, radius, into);
            }
        }
        else
        {
            result.Fill(TExtreme.Neutral<T>());
            for (int at = 0; at < rows; at++)
            {
                source.Slice(at * columns, columns).CopyTo(line);
                for (int row = Math.Max(0, at - radius); row <= Math.Min(rows - 1, at + radius); row++)
                {
                    Slide<T, TExtreme>(
                        padded,
                        radius,
                        element.HalfWidth(at - row),
                        result.Slice(row * columns, columns)
                    );
                }
            }
        }

        ArrayPool<T>.Shared.Return(rented);
    }

    private static void Merge<T, TExtreme>(ReadOnlySpan<T> values, Span<T> extreme)
        where T : unmanaged, IFloatingPointIeee754<T>
        where TExtreme : struct, IExtreme
    {
        ref T from = ref MemoryMarshal.GetReference(values);
        ref T to = ref MemoryMarshal.GetReference(extreme);
        int column = 0;
        for (; column <= values.Length - Vector<T>.Count; column += Vector<T>.Count)
        {
            TExtreme
                .Of(Vector.LoadUnsafe(ref from, (nuint)column), Vector.LoadUnsafe(ref to, (nuint)column))
                .StoreUnsafe(ref to, (nuint)column);
        }

        for (; column < values.Length; column++)
        {
            extreme[column] = TExtreme.Of(values[column], extreme[column]);
        }
    }

    /// <summary>Merges into each result pixel the run of ±half padded pixels about it.</summary>
    private static void Slide<T, TExtreme>(ReadOnlySpan<T> padded, int radius, int half, Span<T> extreme)
        where T : unmanaged, IFloatingPointIeee754<T>
        where TExtreme : struct, IExtreme
    {
        ref T from = ref MemoryMarshal.GetReference(padded);
        ref T to = ref MemoryMarshal.GetReference(extreme);
        int first = radius - half;
        int last = radius + half;
        int width = Vector<T>.Count;
        int column = 0;
        for (; column <= extreme.Length - (2 * width); column += 2 * width)
        {
            Vector<T> found0 = Vector.LoadUnsafe(ref to, (nuint)column);
            Vector<T> found1 = Vector.LoadUnsafe(ref to, (nuint)(column + width));
            for (int tap = first; tap <= last; tap++)
            {
                found0 = TExtreme.Of(Vector.LoadUnsafe(ref from, (nuint)(column + tap)), found0);
                found1 = TExtreme.Of(Vector.LoadUnsafe(ref from, (nuint)(column + width + tap)), found1);
            }

            found0.StoreUnsafe(ref to, (nuint)column);
            found1.StoreUnsafe(ref to, (nuint)(column + width));
        }

        for (; column < extreme.Length; column++)
        {
            T found = extreme[column];
            for (int tap = first; tap <= last; tap++)
            {
                found = TExtreme.Of(padded[column + tap], found);
            }

            extreme[column] = found;
        }
    }
}
