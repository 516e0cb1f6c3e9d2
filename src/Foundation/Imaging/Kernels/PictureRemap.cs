using System.Numerics;

namespace Hillrow.Imaging;

/// <summary>Draws a picture anew from places told pixel by pixel, without rounding the places.</summary>
public static class PictureRemap
{
    /// <summary>Bilinear values; NaN where the place lies outside the source or beside a NaN.</summary>
    /// <param name="source">Rows × columns, row-major.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="atColumns">For each result pixel the source column, our pixel convention (first centre at 0.5).</param>
    /// <param name="atRows">For each result pixel the source row.</param>
    /// <param name="result">As many.</param>
    /// <remarks>Within half a pixel of the edge the edge pixel is repeated. Accuracy: that of single precision.</remarks>
    public static void Bilinear(
        ReadOnlySpan<float> source,
        int rows,
        int columns,
        ReadOnlySpan<float> atColumns,
        ReadOnlySpan<float> atRows,
        Span<float> result
    )
    {
        Shapes.Check(source, rows, columns);
        if (atColumns.Length != result.Length || atRows.Length != result.Length)
        {
            throw new ArgumentException(
                $"{atColumns.Length} columns, {atRows.Length} rows and {result.Length} results must be as many."
            );
        }
        // Indices are inside by the test above them: unchecked keeps the loop free of overflow branches.
        unchecked
        {
            for (int index = 0; index < result.Length; index++)
            {
                float column = atColumns[index];
                float row = atRows[index];
                if (!(column >= 0 && row >= 0 && column <= columns && row <= rows))
                {
                    result[index] = float.NaN;
                    continue;
                }

                float x = Math.Clamp(column - 0.5f, 0, columns - 1);
                float y = Math.Clamp(row - 0.5f, 0, rows - 1);
                int left = Math.Max(0, Math.Min((int)x, columns - 2));
                int top = Math.Max(0, Math.Min((int)y, rows - 2));
                float across = x - left;
                float down = y - top;
                int at = (top * columns) + left;
                int right = columns > 1 ? 1 : 0;
                int below = rows > 1 ? columns : 0;
                float upper = source[at] + (across * (source[at + right] - source[at]));
                float lower = source[at + below] + (across * (source[at + below + right] - source[at + below]));
                result[index] = upper + (down * (lower - upper));
            }
        }
    }

    /// <summary>Cubic-convolution values (a = −1/2); NaN where the place lies outside the source or near a NaN.</summary>
    /// <inheritdoc cref="Bilinear"/>
    public static void Bicubic(
        ReadOnlySpan<float> source,
        int rows,
        int columns,
        ReadOnlySpan<float> atColumns,
        ReadOnlySpan<float> atRows,
        Span<float> result
    )
    {
        Shapes.Check(source, rows, columns);
        if (atColumns.Length != result.Length || atRows.Length != result.Length)
        {
            throw new ArgumentException(
                $"{atColumns.Length} columns, {atRows.Length} rows and {result.Length} results must be as many."
            );
        }

        for (int index = 0; index < result.Length; index++)
        {
            float column = atColumns[index];
            float row = atRows[index];
            bool inside = column >= 0 && row >= 0 && column <= columns && row <= rows;
            result[index] = inside ? Cubic(source, rows, columns, column - 0.5f, row - 0.5f) : float.NaN;
        }
    }

    private static float Cubic(ReadOnlySpan<float> source, int rows, int columns, float x, float y)
    {
        int left = (int)MathF.Floor(x);
        int top = (int)MathF.Floor(y);
        Vector4 across = Weights(x - left);
        Vector4 down = Weights(y - top);
        Vector4 lines = default;
        unchecked
        {
            bool inside = left >= 1 && top >= 1 && left + 2 < columns && top + 2 < rows;
            for (int i = 0; i < 4; i++)
            {
                int line = Math.Clamp(top + i - 1, 0, rows - 1) * columns;
                Vector4 values = inside
                    ? new Vector4(source.Slice(line + left - 1, 4))
                    : new Vector4(
                        source[line + Math.Clamp(left - 1, 0, columns - 1)],
                        source[line + Math.Clamp(left, 0, columns - 1)],
                        source[line + Math.Clamp(left + 1, 0, columns - 1)],
                        source[line + Math.Clamp(left + 2, 0, columns - 1)]
                    );
                lines[i] = Vector4.Dot(values, across);
            }
        }

        return Vector4.Dot(lines, down);
    }

    private static Vector4 Weights(float t)
    {
        float t2 = t * t;
        return new Vector4(
            0.5f * t * (-1 + (t * (2 - t))),
            1 + (t2 * (-2.5f + (1.5f * t))),
            0.5f * t * (1 + (t * (4 - (3 * t)))),
            0.5f * t2 * (t - 1)
        );
    }
}
