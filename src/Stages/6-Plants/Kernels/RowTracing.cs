using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>A traced row in the block's metres.</summary>
internal sealed record TracedRow(IReadOnlyList<(double X, double Y)> Points);

/// <summary>
/// Follows rows over a block: the canopy evidence is averaged along the local row direction, and its ridges are
/// followed both ways from the strongest place that no row has taken yet.
/// </summary>
internal static class RowTracing
{
    private const double StepMetres = 0.4;
    private const double AlongMetres = 3;

    public static IReadOnlyList<TracedRow> Trace(
        FieldGrid signal,
        byte[] inside,
        RowDirection direction,
        double rowSpacing,
        double longestBlindStretch,
        int threads
    )
    {
        float[] smooth = new float[signal.Values.Length];
        GaussianFilter.Smooth<float>(
            signal.Values,
            signal.Rows,
            signal.Columns,
            Math.Max(0.6, 0.14 * rowSpacing / signal.CellMetres),
            Border.Nearest,
            smooth
        );
        FieldGrid soft = signal with { Values = smooth };
        float[] ridge = new float[smooth.Length];
        Parallel.For(
            0,
            signal.Rows,
            new ParallelOptions { MaxDegreeOfParallelism = threads },
            row =>
            {
                for (int column = 0; column < signal.Columns; column++)
                {
                    int at = (row * signal.Columns) + column;
                    if (inside[at] != 0)
                    {
                        ridge[at] = AlongMean(soft, direction, row, column);
                    }
                }
            }
        );
        FieldGrid response = signal with { Values = ridge };
        List<(float Strength, int Place)> seeds = [];
        for (int at = 0; at < ridge.Length; at++)
        {
            if (inside[at] != 0 && ridge[at] > 0 && IsRidge(response, direction, at, rowSpacing))
            {
                seeds.Add((ridge[at], at));
            }
        }

        if (seeds.Count == 0)
        {
            return [];
        }

        seeds.Sort(
            (a, b) => a.Strength.Equals(b.Strength) ? a.Place.CompareTo(b.Place) : b.Strength.CompareTo(a.Strength)
        );
        float typical = seeds[seeds.Count / 3].Strength;
        float floor = 0.3f * typical;
        byte[] taken = new byte[ridge.Length];
        List<TracedRow> rows = [];
        foreach ((float strength, int place) in seeds)
        {
            if (strength < 0.45f * typical)
            {
                break;
            }

            if (taken[place] != 0)
            {
                continue;
            }

            double x = ((place % signal.Columns) + 0.5) * signal.CellMetres;
            double y = ((place / signal.Columns) + 0.5) * signal.CellMetres;
            (double X, double Y) along = direction.Along(x, y);
            var walk = new Walk(response, inside, taken, direction, rowSpacing, floor, longestBlindStretch);
            List<(double X, double Y)> back = walk.Go(x, y, -along.X, -along.Y);
            back.Reverse();
            List<(double X, double Y)> points = [.. back, (x, y), .. walk.Go(x, y, along.X, along.Y)];
            Take(points, taken, signal, 0.55 * rowSpacing);
            if ((points.Count - 1) * StepMetres >= 1.2 * rowSpacing)
            {
                rows.Add(new TracedRow(Smoothed(points)));
            }
        }

        return rows;
    }

    private static float AlongMean(FieldGrid soft, RowDirection direction, int row, int column)
    {
        double x = (column + 0.5) * soft.CellMetres;
        double y = (row + 0.5) * soft.CellMetres;
        float sum = soft.Values[(row * soft.Columns) + column];
        int count = 1;
        for (int side = -1; side <= 1; side += 2)
        {
            (double px, double py) = (x, y);
            (double ax, double ay) = direction.Along(x, y);
            (ax, ay) = (side * ax, side * ay);
            for (double gone = StepMetres; gone <= AlongMetres; gone += StepMetres)
            {
                px += StepMetres * ax;
                py += StepMetres * ay;
                int at = soft.IndexAt(px, py);
                if (at < 0)
                {
                    break;
                }

                sum += soft.Values[at];
                count++;
                (double nx, double ny) = direction.Along(px, py);
                (ax, ay) = (nx * ax) + (ny * ay) < 0 ? (-nx, -ny) : (nx, ny);
            }
        }

        return sum / count;
    }

    private static bool IsRidge(FieldGrid response, RowDirection direction, int at, double rowSpacing)
    {
        double x = ((at % response.Columns) + 0.5) * response.CellMetres;
        double y = ((at / response.Columns) + 0.5) * response.CellMetres;
        (double ax, double ay) = direction.Along(x, y);
        float here = response.Values[at];
        for (double off = response.CellMetres; off <= 0.4 * rowSpacing; off += response.CellMetres)
        {
            if (
                response.At(x - (off * ay), y + (off * ax)) > here
                || response.At(x + (off * ay), y - (off * ax)) > here
            )
            {
                return false;
            }
        }

        return true;
    }

    private static void Take(List<(double X, double Y)> points, byte[] taken, FieldGrid grid, double radius)
    {
        int reach = (int)Math.Ceiling(radius / grid.CellMetres);
        foreach ((double x, double y) in points)
        {
            int column = (int)Math.Floor(x / grid.CellMetres);
            int row = (int)Math.Floor(y / grid.CellMetres);
            for (int r = Math.Max(0, row - reach); r <= Math.Min(grid.Rows - 1, row + reach); r++)
            {
                for (int c = Math.Max(0, column - reach); c <= Math.Min(grid.Columns - 1, column + reach); c++)
                {
                    double dx = ((c + 0.5) * grid.CellMetres) - x;
                    double dy = ((r + 0.5) * grid.CellMetres) - y;
                    if ((dx * dx) + (dy * dy) <= radius * radius)
                    {
                        taken[(r * grid.Columns) + c] = 1;
                    }
                }
            }
        }
    }

    private static List<(double X, double Y)> Smoothed(List<(double X, double Y)> points)
    {
        const int reach = 3;
        List<(double X, double Y)> result = [];
        for (int at = 0; at < points.Count; at++)
        {
            int side = Math.Min(reach, Math.Min(at, points.Count - 1 - at));
            double x = 0;
            double y = 0;
            for (int near = at - side; near <= at + side; near++)
            {
                x += points[near].X;
                y += points[near].Y;
            }

            result.Add((x / ((2 * side) + 1), y / ((2 * side) + 1)));
        }

        return result;
    }

    private sealed class Walk(
        FieldGrid response,
        byte[] inside,
        byte[] taken,
        RowDirection direction,
        double rowSpacing,
        float floor,
        double longestBlindStretch
    )
    {
        public List<(double X, double Y)> Go(double x, double y, double ax, double ay)
        {
            List<(double X, double Y)> points = [];
            int good = 0;
            double blind = 0;
            while (points.Count < 100_000)
            {
                x += StepMetres * ax;
                y += StepMetres * ay;
                int at = response.IndexAt(x, y);
                if (at < 0 || inside[at] == 0 || taken[at] != 0)
                {
                    break;
                }

                (double nx, double ny) = direction.Along(x, y);
                (ax, ay) = (nx * ax) + (ny * ay) < 0 ? (-nx, -ny) : (nx, ny);
                double bestOff = 0;
                float best = float.MinValue;
                for (double off = -0.35 * rowSpacing; off <= 0.351 * rowSpacing; off += 0.05 * rowSpacing)
                {
                    float value = response.At(x - (off * ay), y + (off * ax));
                    float worth = value * (float)(1 - (0.8 * off * off / (rowSpacing * rowSpacing)));
                    if (worth > best)
                    {
                        best = worth;
                        bestOff = off;
                    }
                }

                if (best >= floor)
                {
                    double move = Math.Clamp(0.4 * bestOff, -0.12, 0.12);
                    x -= move * ay;
                    y += move * ax;
                    blind = 0;
                }
                else
                {
                    blind += StepMetres;
                    if (blind > longestBlindStretch)
                    {
                        break;
                    }
                }

                points.Add((x, y));
                good = best >= floor ? points.Count : good;
            }

            // A blind tail that met no canopy again is kept only as far as the averaging along the row reaches.
            points.RemoveRange(good, points.Count - good);
            return points;
        }
    }
}
