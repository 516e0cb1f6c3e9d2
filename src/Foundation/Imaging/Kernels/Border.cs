using System.Numerics;

namespace Hillrow.Imaging;

/// <summary>What a filter takes for pixels outside the picture.</summary>
public enum Border
{
    /// <summary>The edge pixel repeated: a a a a | a b c d | d d d d.</summary>
    Nearest,

    /// <summary>Mirrored with the edge pixel repeated: d c b a | a b c d | d c b a.</summary>
    Reflect,

    /// <summary>Mirrored about the edge pixel: d c b | a b c d | c b a.</summary>
    Mirror,

    /// <summary>The opposite edge: a b c d | a b c d | a b c d.</summary>
    Wrap,
}

/// <summary>Index arithmetic of <see cref="Border"/>.</summary>
public static class Borders
{
    /// <summary>The index inside 0 … count − 1 that stands for any index.</summary>
    public static int Index(int index, int count, Border border)
    {
        if (unchecked((uint)index < (uint)count))
        {
            return index;
        }

        switch (border)
        {
            case Border.Reflect:
                int period = 2 * count;
                int turn = ((index % period) + period) % period;
                return turn < count ? turn : period - 1 - turn;
            case Border.Mirror:
                if (count == 1)
                {
                    return 0;
                }

                int cycle = (2 * count) - 2;
                int place = ((index % cycle) + cycle) % cycle;
                return place < count ? place : cycle - place;
            case Border.Wrap:
                return ((index % count) + count) % count;
            default:
                return Math.Clamp(index, 0, count - 1);
        }
    }

    /// <summary>Fills radius entries before and after the count entries that already stand in the middle of a row.</summary>
    internal static void Pad<T>(Span<T> padded, int count, int radius, Border border)
    {
        for (int k = 1; k <= radius; k++)
        {
            padded[radius - k] = padded[radius + Index(-k, count, border)];
            padded[radius + count - 1 + k] = padded[radius + Index(count - 1 + k, count, border)];
        }
    }
}

/// <summary>Checks of shape at the kernels' public doors.</summary>
internal static class Shapes
{
    /// <exception cref="ArgumentException">A side is not above 0 or a length is not rows × columns.</exception>
    public static void Check<TSource, TResult>(
        ReadOnlySpan<TSource> source,
        int rows,
        int columns,
        ReadOnlySpan<TResult> result
    )
    {
        Check(source, rows, columns);
        if (result.Length != source.Length)
        {
            throw new ArgumentException(
                $"The result has {result.Length} values, the picture {source.Length} ({rows} × {columns})."
            );
        }
    }

    /// <inheritdoc cref="Check{TSource, TResult}"/>
    public static void Check<T>(ReadOnlySpan<T> source, int rows, int columns)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(rows);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(columns);
        if (source.Length != (long)rows * columns)
        {
            throw new ArgumentException(
                $"A picture of {rows} × {columns} has {(long)rows * columns} values, not {source.Length}."
            );
        }
    }

    /// <summary>Results may not lie over their source: rows are read after their neighbours are written.</summary>
    public static void CheckApart<T>(ReadOnlySpan<T> source, ReadOnlySpan<T> result)
    {
        if (source.Overlaps(result))
        {
            throw new ArgumentException("The result must not overlap the picture it is made from.");
        }
    }
}
