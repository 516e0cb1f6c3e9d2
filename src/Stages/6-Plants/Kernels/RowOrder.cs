namespace Hillrow.Plants;

/// <summary>Puts rows in the order in which a person would number them: one after the other down the slope.</summary>
internal static class RowOrder
{
    /// <summary>Orders rows so that each comes after its neighbours on the upper side.</summary>
    /// <param name="rows">In block metres.</param>
    /// <param name="downX">Direction from the first rows to the last, x east.</param>
    /// <param name="downY">y south.</param>
    /// <param name="rowSpacing">Metres.</param>
    /// <returns>Indices of the rows, first row first.</returns>
    public static int[] Order(IReadOnlyList<TracedRow> rows, double downX, double downY, double rowSpacing)
    {
        // Rows are compared where they lie side by side; a mean position alone fails where contours bend.
        double cell = rowSpacing / 3;
        Dictionary<(int Column, int Row), int> owner = [];
        for (int index = 0; index < rows.Count; index++)
        {
            foreach ((double x, double y) in rows[index].Points)
            {
                owner[((int)Math.Floor(x / cell), (int)Math.Floor(y / cell))] = index;
            }
        }

        Dictionary<(int Upper, int Lower), int> votes = [];
        double[] mean = new double[rows.Count];
        for (int index = 0; index < rows.Count; index++)
        {
            IReadOnlyList<(double X, double Y)> points = rows[index].Points;
            mean[index] = points.Average(point => (point.X * downX) + (point.Y * downY));
            for (int at = 0; at < points.Count; at += 4)
            {
                (double ax, double ay) = Tangent(points, at);
                (double px, double py) = (-ay * downX) + (ax * downY) >= 0 ? (-ay, ax) : (ay, -ax);
                for (double off = 0.6 * rowSpacing; off <= 1.5 * rowSpacing; off += cell / 2)
                {
                    (int, int) key = (
                        (int)Math.Floor((points[at].X + (off * px)) / cell),
                        (int)Math.Floor((points[at].Y + (off * py)) / cell)
                    );
                    if (owner.TryGetValue(key, out int other) && other != index)
                    {
                        votes[(index, other)] = votes.GetValueOrDefault((index, other)) + 1;
                        break;
                    }
                }
            }
        }

        HashSet<int>[] above = [.. rows.Select(_ => new HashSet<int>())];
        foreach (((int upper, int lower), int count) in votes)
        {
            if (count > votes.GetValueOrDefault((lower, upper)))
            {
                above[lower].Add(upper);
            }
        }

        List<int> left = [.. Enumerable.Range(0, rows.Count).OrderBy(index => mean[index]).ThenBy(index => index)];
        List<int> order = [];
        while (left.Count > 0)
        {
            // In a cycle (rows wound around a knoll) the uppermost on average goes first.
            int next = left.Find(index => above[index].Count == 0);
            int chosen = left.Contains(next) && above[next].Count == 0 ? next : left[0];
            order.Add(chosen);
            left.Remove(chosen);
            foreach (HashSet<int> set in above)
            {
                set.Remove(chosen);
            }
        }

        return [.. order];
    }

    /// <summary>Unit tangent of a line at one of its points.</summary>
    public static (double X, double Y) Tangent(IReadOnlyList<(double X, double Y)> points, int at)
    {
        (double x0, double y0) = points[Math.Max(0, at - 2)];
        (double x1, double y1) = points[Math.Min(points.Count - 1, at + 2)];
        double length = Math.Sqrt(((x1 - x0) * (x1 - x0)) + ((y1 - y0) * (y1 - y0)));
        return length > 0 ? ((x1 - x0) / length, (y1 - y0) / length) : (1, 0);
    }
}
