using System.Buffers;
using System.Numerics;
using System.Runtime.InteropServices;

namespace Hillrow.Imaging;

/// <summary>A picture in another number of rows and columns, covering the same area.</summary>
/// <remarks>
/// Rows first (whole rows are added with vector instructions), then along the row by prepared weights. Point methods
/// (bilinear, cubic, Lanczos) sample; to make a picture smaller use <see cref="ResamplingMethod.Area"/>. NaN spreads.
/// </remarks>
public static class PictureResize
{
    /// <param name="source">Rows × columns, row-major.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="method">How values are made.</param>
    /// <param name="result">Receives result rows × result columns; must not overlap the source.</param>
    /// <param name="resultRows">Above 0.</param>
    /// <param name="resultColumns">Above 0.</param>
    public static void Apply<T>(
        ReadOnlySpan<T> source,
        int rows,
        int columns,
        ResamplingMethod method,
        Span<T> result,
        int resultRows,
        int resultColumns
    )
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        Shapes.Check(source, rows, columns);
        Shapes.Check<T>(result, resultRows, resultColumns);
        Shapes.CheckApart<T>(source, result);
        Taps<T> down = Taps<T>.For(rows, resultRows, method);
        Taps<T> across = Taps<T>.For(columns, resultColumns, method);
        T[] rented = ArrayPool<T>.Shared.Rent(columns);
        Span<T> line = rented.AsSpan(0, columns);
        for (int row = 0; row < resultRows; row++)
        {
            line.Clear();
            for (int tap = down.Starts[row]; tap < down.Starts[row + 1]; tap++)
            {
                AddWeighted(source.Slice(down.Indices[tap] * columns, columns), down.Weights[tap], line);
            }

            Span<T> into = result.Slice(row * resultColumns, resultColumns);
            for (int column = 0; column < resultColumns; column++)
            {
                T sum = T.Zero;
                int end = across.Starts[column + 1];
                for (int tap = across.Starts[column]; tap < end; tap++)
                {
                    sum += across.Weights[tap] * line[across.Indices[tap]];
                }

                into[column] = sum;
            }
        }

        ArrayPool<T>.Shared.Return(rented);
    }

    private static void AddWeighted<T>(ReadOnlySpan<T> values, T weight, Span<T> sum)
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        ref T from = ref MemoryMarshal.GetReference(values);
        ref T to = ref MemoryMarshal.GetReference(sum);
        Vector<T> weights = new(weight);
        int index = 0;
        for (; index <= values.Length - Vector<T>.Count; index += Vector<T>.Count)
        {
            (
                (Vector.LoadUnsafe(ref from, (nuint)index) * weights) + Vector.LoadUnsafe(ref to, (nuint)index)
            ).StoreUnsafe(ref to, (nuint)index);
        }

        for (; index < values.Length; index++)
        {
            sum[index] = (values[index] * weight) + sum[index];
        }
    }

    /// <summary>For each result line, which source lines it is made of and with what weights.</summary>
    private sealed record Taps<T>(int[] Starts, int[] Indices, T[] Weights)
        where T : IFloatingPointIeee754<T>
    {
        public static Taps<T> For(int sourceCount, int resultCount, ResamplingMethod method)
        {
            int[] starts = new int[resultCount + 1];
            List<int> indices = [];
            List<T> weights = [];
            double scale = sourceCount / (double)resultCount;
            double[] some = new double[6];
            for (int index = 0; index < resultCount; index++)
            {
                starts[index] = indices.Count;
                double centre = ((index + 0.5) * scale) - 0.5;
                if (method == ResamplingMethod.Nearest)
                {
                    indices.Add(Math.Clamp((int)((index + 0.5) * scale), 0, sourceCount - 1));
                    weights.Add(T.One);
                }
                else if (method == ResamplingMethod.Area)
                {
                    AddArea(index * scale, (index + 1) * scale, sourceCount, indices, weights);
                }
                else
                {
                    int reach = Resampling.Reach(method);
                    Resampling.Weights(centre - Math.Floor(centre), method, some);
                    for (int k = 0; k < 2 * reach; k++)
                    {
                        indices.Add(Math.Clamp((int)Math.Floor(centre) - reach + 1 + k, 0, sourceCount - 1));
                        weights.Add(T.CreateTruncating(some[k]));
                    }
                }
            }

            starts[resultCount] = indices.Count;
            return new Taps<T>(starts, [.. indices], [.. weights]);
        }

        private static void AddArea(double from, double to, int count, List<int> indices, List<T> weights)
        {
            for (int pixel = (int)from; pixel < Math.Min(count, (int)Math.Ceiling(to)); pixel++)
            {
                double share = Math.Min(to, pixel + 1) - Math.Max(from, pixel);
                if (share > 1e-12)
                {
                    indices.Add(pixel);
                    weights.Add(T.CreateTruncating(share / (to - from)));
                }
            }
        }
    }
}
