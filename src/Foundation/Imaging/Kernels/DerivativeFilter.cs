using System.Numerics;

namespace Hillrow.Imaging;

/// <summary>3 × 3 derivatives.</summary>
public static class DerivativeFilter
{
    /// <summary>Sobel derivative downwards: (1 2 1) across times next row − previous row; not divided by 8.</summary>
    public static void SobelAlongRows<T>(ReadOnlySpan<T> source, int rows, int columns, Border border, Span<T> result)
        where T : unmanaged, IFloatingPointIeee754<T> =>
        SeparableFilter.Apply(source, rows, columns, [-T.One, T.Zero, T.One], Smooth<T>(), border, result);

    /// <summary>Sobel derivative to the right: next column − previous column times (1 2 1) down; not divided by 8.</summary>
    public static void SobelAlongColumns<T>(
        ReadOnlySpan<T> source,
        int rows,
        int columns,
        Border border,
        Span<T> result
    )
        where T : unmanaged, IFloatingPointIeee754<T> =>
        SeparableFilter.Apply(source, rows, columns, Smooth<T>(), [-T.One, T.Zero, T.One], border, result);

    /// <summary>Five-point Laplacian: the four neighbours less four times the pixel.</summary>
    public static void Laplacian<T>(ReadOnlySpan<T> source, int rows, int columns, Border border, Span<T> result)
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        T two = T.One + T.One;
        T[] other = new T[source.Length];
        SeparableFilter.Apply(source, rows, columns, [T.One, -two, T.One], [T.One], border, other);
        SeparableFilter.Apply(source, rows, columns, [T.One], [T.One, -two, T.One], border, result);
        for (int index = 0; index < other.Length; index++)
        {
            result[index] += other[index];
        }
    }

    private static T[] Smooth<T>()
        where T : IFloatingPointIeee754<T> => [T.One, T.One + T.One, T.One];
}
