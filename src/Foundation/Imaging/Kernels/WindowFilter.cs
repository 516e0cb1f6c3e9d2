using System.Buffers;
using System.Numerics;

namespace Hillrow.Imaging;

/// <summary>Mean and median over a square window.</summary>
public static class WindowFilter
{
    /// <summary>Mean of a side × side window, side odd.</summary>
    public static void Mean<T>(ReadOnlySpan<T> source, int rows, int columns, int side, Border border, Span<T> result)
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(side, 1);
        T[] weights = new T[side];
        Array.Fill(weights, T.One / T.CreateChecked(side));
        SeparableFilter.Apply(source, rows, columns, weights, weights, border, result);
    }

    /// <summary>Median of a side × side window, side odd. NaN in the window: it counts as larger than every number.</summary>
    public static void Median<T>(ReadOnlySpan<T> source, int rows, int columns, int side, Border border, Span<T> result)
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        Shapes.Check<T, T>(source, rows, columns, result);
        Shapes.CheckApart<T>(source, result);
        if (side < 1 || side % 2 == 0)
        {
            throw new ArgumentException($"The side of a median window must be odd and above 0, not {side}.");
        }

        if (side == 3 && !HasNaN(source))
        {
            MedianOfNine.Apply(source, rows, columns, border, result);
            return;
        }

        int radius = side / 2;
        T[] rented = ArrayPool<T>.Shared.Rent(side * side);
        Span<T> window = rented.AsSpan(0, side * side);
        Span<int> from = stackalloc int[Math.Min(side, 256)];
        if (side > 256)
        {
            from = new int[side];
        }

        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                for (int j = 0; j < side; j++)
                {
                    from[j] = Borders.Index(column + j - radius, columns, border);
                }

                int filled = 0;
                for (int i = -radius; i <= radius; i++)
                {
                    int line = Borders.Index(row + i, rows, border) * columns;
                    for (int j = 0; j < side; j++)
                    {
                        window[filled++] = source[line + from[j]];
                    }
                }

                result[(row * columns) + column] = OrderStatistic.Select(window, window.Length / 2);
            }
        }

        ArrayPool<T>.Shared.Return(rented);
    }

    private static bool HasNaN<T>(ReadOnlySpan<T> values)
        where T : IFloatingPointIeee754<T>
    {
        foreach (T value in values)
        {
            if (T.IsNaN(value))
            {
                return true;
            }
        }

        return false;
    }
}
