namespace Hillrow.Plants;

/// <summary>Canopy evidence along one row, sampled evenly by arc length.</summary>
/// <param name="Row">The line.</param>
/// <param name="StepMetres">Between samples.</param>
/// <param name="Places">Sample places in block metres.</param>
/// <param name="Evidence">Best evidence across the row at each sample.</param>
internal sealed record RowProfile(TracedRow Row, double StepMetres, (double X, double Y)[] Places, float[] Evidence)
{
    public static RowProfile Along(
        TracedRow row,
        FieldGrid evidence,
        byte[] inside,
        double step,
        double halfWidth,
        double beyond
    )
    {
        List<(double X, double Y)> points = [.. row.Points];
        Extend(points, beyond, evidence, inside);
        List<(double X, double Y)> places = [points[0]];
        double carried = 0;
        for (int at = 0; at + 1 < points.Count; at++)
        {
            double dx = points[at + 1].X - points[at].X;
            double dy = points[at + 1].Y - points[at].Y;
            double length = Math.Sqrt((dx * dx) + (dy * dy));
            double next = step - carried;
            while (next <= length)
            {
                places.Add((points[at].X + (dx * next / length), points[at].Y + (dy * next / length)));
                next += step;
            }

            carried = length - (next - step);
        }

        float[] values = new float[places.Count];
        for (int at = 0; at < values.Length; at++)
        {
            (double ax, double ay) = RowOrder.Tangent(places, at);
            float best = 0;
            for (double off = -halfWidth; off <= halfWidth + 1e-9; off += halfWidth / 3)
            {
                double worth = 1 - (0.25 * off * off / (halfWidth * halfWidth));
                best = Math.Max(best, (float)worth * evidence.At(places[at].X - (off * ay), places[at].Y + (off * ax)));
            }

            values[at] = best;
        }

        return new RowProfile(row, step, [.. places], values);
    }

    // A row is lengthened straight on: the averaging along rows ends it before its last plant.
    private static void Extend(List<(double X, double Y)> points, double beyond, FieldGrid grid, byte[] inside)
    {
        for (int end = 0; end < 2; end++)
        {
            int last = points.Count - 1;
            int before = Math.Max(0, last - 6);
            double dx = points[last].X - points[before].X;
            double dy = points[last].Y - points[before].Y;
            double length = Math.Sqrt((dx * dx) + (dy * dy));
            for (double gone = 0.4; length > 0 && gone <= beyond; gone += 0.4)
            {
                (double x, double y) = (points[last].X + (gone * dx / length), points[last].Y + (gone * dy / length));
                int at = grid.IndexAt(x, y);
                if (at < 0 || inside[at] == 0)
                {
                    break;
                }

                points.Add((x, y));
            }

            points.Reverse();
        }
    }
}
