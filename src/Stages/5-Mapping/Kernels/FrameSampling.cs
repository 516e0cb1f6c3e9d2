using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;
using Hillrow.Imaging;

namespace Hillrow.Mapping;

/// <summary>Values of a frame between its pixels, for many places at once.</summary>
/// <remarks>
/// Places in our pixel convention (first centre at 0.5, 0.5). Beyond the outermost centres, and for NaN places, NaN. NaN
/// pixels spread to the cells that touch them. Judged by <see cref="Resampling.Sample"/> in the tests.
/// </remarks>
public static class FrameSampling
{
    /// <summary>Bilinear.</summary>
    /// <param name="frame">Rows × Columns, row-major.</param>
    /// <param name="frameRows">At least 2.</param>
    /// <param name="frameColumns">At least 2.</param>
    /// <param name="columns">Places, pixels.</param>
    /// <param name="rows">Places, pixels.</param>
    /// <param name="values">Receives one value per place.</param>
    public static void Bilinear(
        ReadOnlySpan<float> frame,
        int frameRows,
        int frameColumns,
        ReadOnlySpan<float> columns,
        ReadOnlySpan<float> rows,
        Span<float> values
    )
    {
        Check(frame, frameRows, frameColumns, columns, rows, values.Length);
        int done = Avx2.IsSupported ? BilinearEights(frame, frameRows, frameColumns, columns, rows, values) : 0;
        for (int at = done; at < values.Length; at++)
        {
            float x = columns[at] - 0.5f;
            float y = rows[at] - 0.5f;
            if (!(x >= 0 && y >= 0 && x <= frameColumns - 1 && y <= frameRows - 1))
            {
                values[at] = float.NaN;
                continue;
            }

            int c = Math.Min((int)x, frameColumns - 2);
            int r = Math.Min((int)y, frameRows - 2);
            float u = x - c;
            float v = y - r;
            int first = (r * frameColumns) + c;
            int below = first + frameColumns;
            float top = frame[first] + ((frame[first + 1] - frame[first]) * u);
            float bottom = frame[below] + ((frame[below + 1] - frame[below]) * u);
            values[at] = top + ((bottom - top) * v);
        }
    }

    /// <summary>Cubic convolution; where a neighbour lies outside or is NaN, bilinear.</summary>
    /// <inheritdoc cref="Bilinear"/>
    public static void Bicubic(
        ReadOnlySpan<float> frame,
        int frameRows,
        int frameColumns,
        ReadOnlySpan<float> columns,
        ReadOnlySpan<float> rows,
        Span<float> values
    )
    {
        Bilinear(frame, frameRows, frameColumns, columns, rows, values);
        for (int at = 0; at < values.Length; at++)
        {
            float x = columns[at] - 0.5f;
            float y = rows[at] - 0.5f;
            if (x >= 1 && y >= 1 && x < frameColumns - 2 && y < frameRows - 2)
            {
                float cubic = (float)
                    Resampling.Sample(
                        frame,
                        frameRows,
                        frameColumns,
                        new PixelPoint(columns[at], rows[at]),
                        ResamplingMethod.Bicubic
                    );
                values[at] = float.IsNaN(cubic) ? values[at] : cubic;
            }
        }
    }

    /// <summary>The pixel that a place lies in.</summary>
    /// <inheritdoc cref="Bilinear"/>
    public static void Nearest(
        ReadOnlySpan<float> frame,
        int frameRows,
        int frameColumns,
        ReadOnlySpan<float> columns,
        ReadOnlySpan<float> rows,
        Span<float> values
    )
    {
        Check(frame, frameRows, frameColumns, columns, rows, values.Length);
        // Unchecked: inside by the test.
        unchecked
        {
            for (int at = 0; at < values.Length; at++)
            {
                float x = columns[at];
                float y = rows[at];
                values[at] =
                    x >= 0 && y >= 0 && x < frameColumns && y < frameRows
                        ? frame[((int)y * frameColumns) + (int)x]
                        : float.NaN;
            }
        }
    }

    private static void Check(
        ReadOnlySpan<float> frame,
        int frameRows,
        int frameColumns,
        ReadOnlySpan<float> columns,
        ReadOnlySpan<float> rows,
        int count
    )
    {
        if (frameRows < 2 || frameColumns < 2 || frame.Length != (long)frameRows * frameColumns)
        {
            throw new ArgumentException(
                $"{frame.Length} values are no frame of {frameRows} × {frameColumns} pixels (at least 2 × 2).",
                nameof(frame)
            );
        }

        if (columns.Length != count || rows.Length != count)
        {
            throw new ArgumentException(
                $"{columns.Length} columns and {rows.Length} rows for {count} values.",
                nameof(columns)
            );
        }
    }

    private static unsafe int BilinearEights(
        ReadOnlySpan<float> frame,
        int frameRows,
        int frameColumns,
        ReadOnlySpan<float> columns,
        ReadOnlySpan<float> rows,
        Span<float> values
    )
    {
        // Unchecked: places outside are turned to place 0 before indexing and to NaN afterwards.
        unchecked
        {
            Vector256<float> half = Vector256.Create(0.5f);
            Vector256<float> lastX = Vector256.Create((float)(frameColumns - 1));
            Vector256<float> lastY = Vector256.Create((float)(frameRows - 1));
            Vector256<int> lastColumn = Vector256.Create(frameColumns - 2);
            Vector256<int> lastRow = Vector256.Create(frameRows - 2);
            Vector256<int> stride = Vector256.Create(frameColumns);
            int at = 0;
            fixed (float* pixels = frame)
            fixed (float* c = columns)
            fixed (float* r = rows)
            fixed (float* o = values)
            {
                for (; at + 8 <= values.Length; at += 8)
                {
                    Vector256<float> x = Vector256.Load(c + at) - half;
                    Vector256<float> y = Vector256.Load(r + at) - half;
                    Vector256<float> inside =
                        Vector256.GreaterThanOrEqual(x, Vector256<float>.Zero)
                        & Vector256.GreaterThanOrEqual(y, Vector256<float>.Zero)
                        & Vector256.LessThanOrEqual(x, lastX)
                        & Vector256.LessThanOrEqual(y, lastY);
                    x &= inside;
                    y &= inside;
                    Vector256<int> column = Vector256.Min(Avx.ConvertToVector256Int32WithTruncation(x), lastColumn);
                    Vector256<int> row = Vector256.Min(Avx.ConvertToVector256Int32WithTruncation(y), lastRow);
                    Vector256<float> u = x - Avx.ConvertToVector256Single(column);
                    Vector256<float> v = y - Avx.ConvertToVector256Single(row);
                    Vector256<int> first = (row * stride) + column;
                    Vector256<float> p = Avx2.GatherVector256(pixels, first, 4);
                    Vector256<float> q = Avx2.GatherVector256(pixels + 1, first, 4);
                    Vector256<float> s = Avx2.GatherVector256(pixels + frameColumns, first, 4);
                    Vector256<float> t = Avx2.GatherVector256(pixels + frameColumns + 1, first, 4);
                    Vector256<float> top = p + ((q - p) * u);
                    Vector256<float> bottom = s + ((t - s) * u);
                    Vector256<float> value = top + ((bottom - top) * v);
                    Vector256.ConditionalSelect(inside, value, Vector256.Create(float.NaN)).Store(o + at);
                }
            }

            return at;
        }
    }
}
