namespace Hillrow.Validation.Rehearsal;

/// <summary>Shift between two maps of the same ground, by least squares on their brightness slopes.</summary>
internal static class MapShift
{
    /// <summary>Length of the mean shift, in cells, over windows that are mostly open.</summary>
    /// <remarks>
    /// Lucas &amp; Kanade 1981, one step, symmetric slopes; windows differ by gain and offset, which are solved too. With
    /// shifts below a tenth of a cell the linear model is good to a few per cent of the shift.
    /// </remarks>
    public static (double Shift, int Windows) Mean(float[] laid, float[] truth, bool[] open, int side, int window)
    {
        double sumX = 0;
        double sumY = 0;
        double weights = 0;
        int count = 0;
        for (int row = 0; row + window <= side; row += window)
        {
            for (int column = 0; column + window <= side; column += window)
            {
                if (Window(laid, truth, open, side, row, column, window) is { } found)
                {
                    sumX += found.X * found.Weight;
                    sumY += found.Y * found.Weight;
                    weights += found.Weight;
                    count++;
                }
            }
        }

        return weights > 0 ? (Math.Sqrt((sumX * sumX) + (sumY * sumY)) / weights, count) : (double.NaN, 0);
    }

    private static (double X, double Y, double Weight)? Window(
        float[] laid,
        float[] truth,
        bool[] open,
        int side,
        int firstRow,
        int firstColumn,
        int window
    )
    {
        double[,] normal = new double[4, 5];
        int used = 0;
        Span<double> terms = stackalloc double[5];
        for (int row = Math.Max(1, firstRow); row < Math.Min(side - 1, firstRow + window); row++)
        {
            for (int column = Math.Max(1, firstColumn); column < Math.Min(side - 1, firstColumn + window); column++)
            {
                int at = (row * side) + column;
                if (!(open[at] && open[at - 1] && open[at + 1] && open[at - side] && open[at + side]))
                {
                    continue;
                }

                double slopeX = 0.25 * (truth[at + 1] - truth[at - 1] + laid[at + 1] - laid[at - 1]);
                double slopeY = 0.25 * (truth[at + side] - truth[at - side] + laid[at + side] - laid[at - side]);
                terms[0] = slopeX;
                terms[1] = slopeY;
                terms[2] = truth[at];
                terms[3] = 1;
                terms[4] = laid[at] - truth[at];
                for (int i = 0; i < 4; i++)
                {
                    for (int j = 0; j < 5; j++)
                    {
                        normal[i, j] += terms[i] * terms[j];
                    }
                }

                used++;
            }
        }

        if (used < window * window / 3)
        {
            return null;
        }

        double weight = Math.Min(normal[0, 0], normal[1, 1]);
        for (int pivot = 0; pivot < 4; pivot++)
        {
            for (int i = 0; i < 4; i++)
            {
                double factor = i == pivot ? 0 : normal[i, pivot] / normal[pivot, pivot];
                for (int j = 0; j < 5; j++)
                {
                    normal[i, j] -= factor * normal[pivot, j];
                }
            }
        }

        return (normal[0, 4] / normal[0, 0], normal[1, 4] / normal[1, 1], weight);
    }
}
