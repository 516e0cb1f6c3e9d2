namespace Hillrow.Mapping;

/// <summary>Where a block of one picture is best found in another, by correlation.</summary>
/// <param name="Columns">Shift to the right, pixels and parts.</param>
/// <param name="Rows">Shift down.</param>
/// <param name="Likeness">At the best whole shift.</param>
internal readonly record struct BlockMatch(double Columns, double Rows, double Likeness)
{
    private const double LeastKnown = 0.9;

    /// <param name="from">The block's picture; NaN where nothing is known.</param>
    /// <param name="into">The picture searched, same columns.</param>
    /// <param name="columns">Of both.</param>
    /// <param name="row">Middle of the block.</param>
    /// <param name="column">Middle of the block.</param>
    /// <param name="half">The block reaches so far each way.</param>
    /// <param name="search">Greatest shift each way; block and search lie inside the picture.</param>
    /// <returns>Null when too little is known, or the best lies on the search's edge.</returns>
    public static BlockMatch? Find(
        ReadOnlySpan<float> from,
        ReadOnlySpan<float> into,
        int columns,
        int row,
        int column,
        int half,
        int search
    )
    {
        int side = (2 * search) + 1;
        double[] found = new double[side * side];
        int best = 0;
        for (int down = -search; down <= search; down++)
        {
            for (int across = -search; across <= search; across++)
            {
                int at = ((down + search) * side) + across + search;
                found[at] = Correlation(from, into, columns, row, column, half, down, across);
                if (double.IsNaN(found[at]))
                {
                    return null;
                }

                best = found[at] > found[best] ? at : best;
            }
        }

        int r = best / side;
        int c = best % side;
        return r == 0 || c == 0 || r == side - 1 || c == side - 1
            ? null
            : new BlockMatch(
                c - search + Vertex(found[best - 1], found[best], found[best + 1]),
                r - search + Vertex(found[best - side], found[best], found[best + side]),
                found[best]
            );
    }

    /// <summary>Top of the parabola through three neighbours.</summary>
    private static double Vertex(double before, double middle, double after)
    {
        double bend = before - (2 * middle) + after;
        return bend < 0 ? 0.5 * (before - after) / bend : 0;
    }

    private static double Correlation(
        ReadOnlySpan<float> from,
        ReadOnlySpan<float> into,
        int columns,
        int row,
        int column,
        int half,
        int down,
        int across
    )
    {
        double a = 0;
        double b = 0;
        double aa = 0;
        double bb = 0;
        double ab = 0;
        int known = 0;
        for (int r = -half; r <= half; r++)
        {
            int first = ((row + r) * columns) + column;
            int second = ((row + r + down) * columns) + column + across;
            for (int c = -half; c <= half; c++)
            {
                float x = from[first + c];
                float y = into[second + c];
                if (float.IsNaN(x) || float.IsNaN(y))
                {
                    continue;
                }

                // Kelvin around 300 keep their digits.
                y -= 300;
                a += x;
                b += y;
                aa += x * x;
                bb += y * y;
                ab += x * y;
                known++;
            }
        }

        if (known < LeastKnown * ((2 * half) + 1) * ((2 * half) + 1))
        {
            return double.NaN;
        }

        double spread = (aa - (a * a / known)) * (bb - (b * b / known));
        return spread > 0 ? (ab - (a * b / known)) / Math.Sqrt(spread) : 0;
    }
}
