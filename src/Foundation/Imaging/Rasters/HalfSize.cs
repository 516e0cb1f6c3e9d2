using System.Numerics;
using System.Runtime.InteropServices;

namespace Hillrow.Imaging;

/// <summary>Makes the next coarser level: each cell stands for the 2 × 2 cells below it, fewer at odd edges.</summary>
/// <remarks>
/// Results do not depend on how the raster is cut into tiles, as tiles begin at even rows and columns. The mean of
/// means weighs a cell next to missing ones more than a single mean over all would; kept, as it is local.
/// </remarks>
internal static class HalfSize
{
    /// <summary>The north-western cell of each 2 × 2.</summary>
    /// <param name="fine">rows × columns, row-major.</param>
    /// <param name="rows">Rows of <paramref name="fine"/>, at least 1.</param>
    /// <param name="columns">Columns of <paramref name="fine"/>, at least 1.</param>
    /// <param name="coarse">Receives ⌈rows/2⌉ × ⌈columns/2⌉.</param>
    public static void Nearest<T>(ReadOnlySpan<T> fine, int rows, int columns, Span<T> coarse)
        where T : unmanaged
    {
        int coarseColumns = columns - (columns / 2);
        for (int row = 0; row < rows; row += 2)
        {
            ReadOnlySpan<T> from = fine.Slice(row * columns, columns);
            Span<T> to = coarse.Slice(row / 2 * coarseColumns, coarseColumns);
            for (int column = 0; column < to.Length; column++)
            {
                to[column] = from[2 * column];
            }
        }
    }

    /// <summary>Mean of the cells of each 2 × 2 that hold data; integers round to nearest, halves up.</summary>
    /// <param name="fine">rows × columns, row-major.</param>
    /// <param name="rows">Rows of <paramref name="fine"/>, at least 1.</param>
    /// <param name="columns">Columns of <paramref name="fine"/>, at least 1.</param>
    /// <param name="noData">Value that counts as missing, as NaN does; null when none.</param>
    /// <param name="coarse">Receives ⌈rows/2⌉ × ⌈columns/2⌉; no data where all cells are missing.</param>
    public static void Average<T>(ReadOnlySpan<T> fine, int rows, int columns, T? noData, Span<T> coarse)
        where T : unmanaged, INumber<T>
    {
        int coarseColumns = columns - (columns / 2);
        for (int row = 0; row < rows; row += 2)
        {
            ReadOnlySpan<T> upper = fine.Slice(row * columns, columns);
            bool hasLower = row + 1 < rows;
            // At an odd last row the row stands in for its missing neighbour: the mean of four plain cells is the same.
            ReadOnlySpan<T> lower = hasLower ? fine.Slice((row + 1) * columns, columns) : upper;
            Span<T> to = coarse.Slice(row / 2 * coarseColumns, coarseColumns);
            if (typeof(T) == typeof(float) && noData is null)
            {
                AverageFloats(
                    MemoryMarshal.Cast<T, float>(upper),
                    MemoryMarshal.Cast<T, float>(lower),
                    hasLower,
                    MemoryMarshal.Cast<T, float>(to)
                );
            }
            else if (typeof(T) == typeof(float) || typeof(T) == typeof(double))
            {
                for (int column = 0; column < to.Length; column++)
                {
                    to[column] = MeanOfReals(upper, lower, hasLower, 2 * column, noData);
                }
            }
            else
            {
                AverageIntegers(upper, lower, noData, to);
            }
        }
    }

    // Hot: four plain cells are by far the commonest, so they are tried first: their sum is NaN only if one is.
    private static void AverageFloats(
        ReadOnlySpan<float> upper,
        ReadOnlySpan<float> lower,
        bool hasLower,
        Span<float> to
    )
    {
        lower = lower[..upper.Length];
        int whole = upper.Length / 2;
        for (int column = 0; column < whole; column++)
        {
            int at = unchecked(2 * column);
            float sum = (upper[at] + upper[at + 1]) + (lower[at] + lower[at + 1]);
            to[column] = float.IsNaN(sum) ? MeanOfReals(upper, lower, hasLower, at, null) : sum * 0.25f;
        }

        if (whole < to.Length)
        {
            to[whole] = MeanOfReals(upper, lower, hasLower, upper.Length - 1, null);
        }
    }

    private static T MeanOfReals<T>(ReadOnlySpan<T> upper, ReadOnlySpan<T> lower, bool hasLower, int west, T? noData)
        where T : unmanaged, INumber<T>
    {
        int count = 0;
        bool hasEast = west + 1 < upper.Length;
        T sum = Take(upper[west]) + (hasEast ? Take(upper[west + 1]) : T.Zero);
        if (hasLower)
        {
            sum += Take(lower[west]) + (hasEast ? Take(lower[west + 1]) : T.Zero);
        }

        return count > 0 ? sum / T.CreateChecked(count) : noData ?? upper[west];

        T Take(T value)
        {
            if (T.IsNaN(value) || (noData is T missing && value == missing))
            {
                return T.Zero;
            }

            count++;
            return value;
        }
    }

    private static void AverageIntegers<T>(ReadOnlySpan<T> upper, ReadOnlySpan<T> lower, T? noData, Span<T> to)
        where T : unmanaged, INumber<T>
    {
        bool hasNoData = noData.HasValue;
        long missing = hasNoData ? long.CreateTruncating(noData.GetValueOrDefault()) : 0;
        for (int column = 0; column < to.Length; column++)
        {
            int west = 2 * column;
            int east = Math.Min(west + 1, upper.Length - 1);
            long a = long.CreateTruncating(upper[west]);
            long b = long.CreateTruncating(upper[east]);
            long c = long.CreateTruncating(lower[west]);
            long d = long.CreateTruncating(lower[east]);
            long sum = a + b + c + d;
            long count = 4;
            if (hasNoData)
            {
                Drop(a);
                Drop(b);
                Drop(c);
                Drop(d);
            }

            // Floor((2·sum + count) / (2·count)): halves go up, below zero too. Shift for the commonest count.
            to[column] =
                count == 4 ? T.CreateTruncating((sum + 2) >> 2)
                : count == 0 ? noData.GetValueOrDefault()
                : T.CreateTruncating(FloorOfQuotient((2 * sum) + count, 2 * count));

            void Drop(long value)
            {
                if (value == missing)
                {
                    sum -= value;
                    count--;
                }
            }
        }
    }

    private static long FloorOfQuotient(long dividend, long divisor)
    {
        long quotient = Math.DivRem(dividend, divisor, out long remainder);
        return remainder < 0 ? quotient - 1 : quotient;
    }
}
