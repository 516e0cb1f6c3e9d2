namespace Hillrow.Imaging;

/// <summary>Distance from every pixel to the nearest pixel that is out (0) of a mask, in pixels.</summary>
/// <remarks>The picture's edge is not out. A mask without any 0 gives positive infinity everywhere.</remarks>
public static class DistanceTransform
{
    /// <summary>Exact straight-line distance between pixel centres.</summary>
    /// <remarks>P. F. Felzenszwalb and D. P. Huttenlocher 2012, doi 10.4086/toc.2012.v008a019: lower envelope of parabolas.</remarks>
    public static void Euclidean(ReadOnlySpan<byte> mask, int rows, int columns, Span<float> result)
    {
        double[] exact = new double[mask.Length];
        Euclidean(mask, rows, columns, exact);
        for (int index = 0; index < exact.Length; index++)
        {
            result[index] = (float)exact[index];
        }
    }

    /// <inheritdoc cref="Euclidean(ReadOnlySpan{byte}, int, int, Span{float})"/>
    public static void Euclidean(ReadOnlySpan<byte> mask, int rows, int columns, Span<double> result)
    {
        Shapes.Check<byte, double>(mask, rows, columns, result);
        DownColumns(mask, rows, columns, result);
        double[] heights = new double[columns];
        int[] places = new int[columns];
        double[] edges = new double[columns + 1];
        for (int row = 0; row < rows; row++)
        {
            Span<double> line = result.Slice(row * columns, columns);
            for (int column = 0; column < columns; column++)
            {
                heights[column] = line[column] * line[column];
            }

            LowerEnvelope(heights, places, edges, line);
        }
    }

    /// <summary>Steps up, down, left and right.</summary>
    public static void CityBlock(ReadOnlySpan<byte> mask, int rows, int columns, Span<int> result) =>
        Steps(mask, rows, columns, diagonal: false, result);

    /// <summary>Steps to any of the eight neighbours.</summary>
    public static void Chessboard(ReadOnlySpan<byte> mask, int rows, int columns, Span<int> result) =>
        Steps(mask, rows, columns, diagonal: true, result);

    /// <summary>Distance within each column alone.</summary>
    private static void DownColumns(ReadOnlySpan<byte> mask, int rows, int columns, Span<double> result)
    {
        for (int index = 0; index < mask.Length; index++)
        {
            double above = index >= columns ? result[index - columns] : double.PositiveInfinity;
            result[index] = mask[index] == 0 ? 0 : above + 1;
        }

        for (int index = mask.Length - columns - 1; index >= 0; index--)
        {
            result[index] = Math.Min(result[index], result[index + columns] + 1);
        }
    }

    private static void LowerEnvelope(double[] heights, int[] places, double[] edges, Span<double> result)
    {
        int count = 0;
        for (int place = 0; place < heights.Length; place++)
        {
            if (double.IsPositiveInfinity(heights[place]))
            {
                continue;
            }

            double edge = double.NegativeInfinity;
            while (count > 0)
            {
                int last = places[count - 1];
                edge =
                    (heights[place] - heights[last] + ((double)place * place) - ((double)last * last))
                    / (2.0 * (place - last));
                if (edge > edges[count - 1])
                {
                    break;
                }

                count--;
            }

            places[count] = place;
            edges[count] = count == 0 ? double.NegativeInfinity : edge;
            count++;
        }

        if (count == 0)
        {
            result.Fill(double.PositiveInfinity);
            return;
        }

        int at = 0;
        for (int column = 0; column < result.Length; column++)
        {
            while (at + 1 < count && edges[at + 1] < column)
            {
                at++;
            }

            double offset = column - places[at];
            result[column] = Math.Sqrt((offset * offset) + heights[places[at]]);
        }
    }

    private static void Steps(ReadOnlySpan<byte> mask, int rows, int columns, bool diagonal, Span<int> result)
    {
        Shapes.Check<byte, int>(mask, rows, columns, result);

        // Far, but far enough from the largest integer that adding steps cannot overflow.
        const int far = int.MaxValue / 2;
        for (int index = 0; index < mask.Length; index++)
        {
            result[index] = mask[index] == 0 ? 0 : far;
        }

        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                Relax(result, rows, columns, row, column, -1, diagonal);
            }
        }

        for (int row = rows - 1; row >= 0; row--)
        {
            for (int column = columns - 1; column >= 0; column--)
            {
                Relax(result, rows, columns, row, column, 1, diagonal);
            }
        }

        for (int index = 0; index < result.Length; index++)
        {
            if (result[index] >= far)
            {
                result[index] = int.MaxValue;
            }
        }
    }

    private static void Relax(Span<int> result, int rows, int columns, int row, int column, int side, bool diagonal)
    {
        int index = (row * columns) + column;
        int best = result[index];
        if (unchecked((uint)(column + side) < (uint)columns))
        {
            best = Math.Min(best, result[index + side] + 1);
        }

        if (unchecked((uint)(row + side) < (uint)rows))
        {
            int line = index + (side * columns);
            best = Math.Min(best, result[line] + 1);
            if (diagonal && column > 0)
            {
                best = Math.Min(best, result[line - 1] + 1);
            }

            if (diagonal && column < columns - 1)
            {
                best = Math.Min(best, result[line + 1] + 1);
            }
        }

        result[index] = best;
    }
}
