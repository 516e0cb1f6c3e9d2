using System.Buffers;
using System.Numerics;
using System.Runtime.InteropServices;

namespace Hillrow.Imaging;

/// <summary>Correlates a picture with a column of weights and a row of weights.</summary>
/// <remarks>
/// result(r, c) = Σᵢ Σⱼ w(i) v(j) picture(r + i, c + j), i and j from −radius to radius. Sums run in a fixed order with
/// fused multiply-adds, so vector width and number of threads do not change a bit. NaN spreads to what it touches.
/// </remarks>
public static class SeparableFilter
{
    /// <param name="source">Rows × columns, row-major; unchanged.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="downRows">Weights along a column, odd count.</param>
    /// <param name="alongColumns">Weights along a row, odd count.</param>
    /// <param name="border">What stands outside.</param>
    /// <param name="result">Receives the same shape; must not overlap the source.</param>
    /// <exception cref="ArgumentException">Shapes differ, overlap, or a weight count is even.</exception>
    public static void Apply<T>(
        ReadOnlySpan<T> source,
        int rows,
        int columns,
        ReadOnlySpan<T> downRows,
        ReadOnlySpan<T> alongColumns,
        Border border,
        Span<T> result
    )
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        Shapes.Check<T, T>(source, rows, columns, result);
        Shapes.CheckApart<T>(source, result);
        if (downRows.Length % 2 == 0 || alongColumns.Length % 2 == 0)
        {
            throw new ArgumentException("A filter needs an odd number of weights each way.");
        }

        int rowRadius = downRows.Length / 2;
        int columnRadius = alongColumns.Length / 2;
        T[] rented = ArrayPool<T>.Shared.Rent(columns + (2 * columnRadius));
        Span<T> padded = rented.AsSpan(0, columns + (2 * columnRadius));
        for (int row = 0; row < rows; row++)
        {
            Span<T> middle = padded.Slice(columnRadius, columns);
            middle.Clear();
            for (int tap = 0; tap < downRows.Length; tap++)
            {
                int from = Borders.Index(row + tap - rowRadius, rows, border);
                AddWeighted(source.Slice(from * columns, columns), downRows[tap], middle);
            }

            Borders.Pad(padded, columns, columnRadius, border);
            CorrelateRow(padded, alongColumns, result.Slice(row * columns, columns));
        }

        ArrayPool<T>.Shared.Return(rented);
    }

    private static void AddWeighted<T>(ReadOnlySpan<T> values, T weight, Span<T> sum)
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        ref T from = ref MemoryMarshal.GetReference(values);
        ref T to = ref MemoryMarshal.GetReference(sum);
        Vector<T> weights = new(weight);
        int column = 0;
        for (; column <= values.Length - Vector<T>.Count; column += Vector<T>.Count)
        {
            Fused(Vector.LoadUnsafe(ref from, (nuint)column), weights, Vector.LoadUnsafe(ref to, (nuint)column))
                .StoreUnsafe(ref to, (nuint)column);
        }

        for (; column < values.Length; column++)
        {
            sum[column] = T.FusedMultiplyAdd(values[column], weight, sum[column]);
        }
    }

    /// <summary>Four vectors at a time: their sums are independent, which hides the latency of the multiply-add.</summary>
    private static void CorrelateRow<T>(ReadOnlySpan<T> padded, ReadOnlySpan<T> weights, Span<T> result)
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        ref T from = ref MemoryMarshal.GetReference(padded);
        ref T to = ref MemoryMarshal.GetReference(result);
        int width = Vector<T>.Count;
        int column = 0;
        for (; column <= result.Length - (4 * width); column += 4 * width)
        {
            Vector<T> sum0 = Vector<T>.Zero;
            Vector<T> sum1 = Vector<T>.Zero;
            Vector<T> sum2 = Vector<T>.Zero;
            Vector<T> sum3 = Vector<T>.Zero;
            for (int tap = 0; tap < weights.Length; tap++)
            {
                Vector<T> weight = new(weights[tap]);
                nuint at = (nuint)(column + tap);
                sum0 = Fused(Vector.LoadUnsafe(ref from, at), weight, sum0);
                sum1 = Fused(Vector.LoadUnsafe(ref from, at + (nuint)width), weight, sum1);
                sum2 = Fused(Vector.LoadUnsafe(ref from, at + (nuint)(2 * width)), weight, sum2);
                sum3 = Fused(Vector.LoadUnsafe(ref from, at + (nuint)(3 * width)), weight, sum3);
            }

            sum0.StoreUnsafe(ref to, (nuint)column);
            sum1.StoreUnsafe(ref to, (nuint)(column + width));
            sum2.StoreUnsafe(ref to, (nuint)(column + (2 * width)));
            sum3.StoreUnsafe(ref to, (nuint)(column + (3 * width)));
        }

        for (; column < result.Length; column++)
        {
            T sum = T.Zero;
            for (int tap = 0; tap < weights.Length; tap++)
            {
                sum = T.FusedMultiplyAdd(padded[column + tap], weights[tap], sum);
            }

            result[column] = sum;
        }
    }

    /// <summary>The fused multiply-add of the element type; Vector has it for float and double only.</summary>
    private static Vector<T> Fused<T>(Vector<T> a, Vector<T> b, Vector<T> c)
        where T : unmanaged
    {
        if (typeof(T) == typeof(float))
        {
            return Vector
                .FusedMultiplyAdd(Vector.AsVectorSingle(a), Vector.AsVectorSingle(b), Vector.AsVectorSingle(c))
                .As<float, T>();
        }

        if (typeof(T) == typeof(double))
        {
            return Vector
                .FusedMultiplyAdd(Vector.AsVectorDouble(a), Vector.AsVectorDouble(b), Vector.AsVectorDouble(c))
                .As<double, T>();
        }

        throw new NotSupportedException($"Filters work on float and double, not {typeof(T).Name}.");
    }
}
