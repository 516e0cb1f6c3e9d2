namespace Hillrow.Earth;

/// <summary>Areas that two polygons share, exact to rounding.</summary>
/// <remarks>
/// Each ring is a signed sum of triangles from one origin to its edges; the shared area is the signed sum over all pairs
/// of the areas in which two triangles overlap. No intersection points are sorted, so touching and coinciding edges need
/// no special care. O(n·m). Our own arrangement of the shoelace idea.
/// </remarks>
public static class PolygonOverlay
{
    /// <summary>Square metres that lie in both, holes respected.</summary>
    /// <param name="a">Not self-crossing.</param>
    /// <param name="b">Not self-crossing, same reference system.</param>
    public static double SharedArea(GridPolygon a, GridPolygon b)
    {
        ArgumentNullException.ThrowIfNull(a);
        ArgumentNullException.ThrowIfNull(b);
        double originX = (a.WestMetres + a.EastMetres) / 2;
        double originY = (a.SouthMetres + a.NorthMetres) / 2;
        List<Triangle> first = Triangles(a, originX, originY);
        List<Triangle> second = Triangles(b, originX, originY);
        double sum = 0;
        Span<double> buffer = stackalloc double[64];
        foreach (Triangle one in first)
        {
            foreach (Triangle two in second)
            {
                bool apart =
                    one.West >= two.East || two.West >= one.East || one.South >= two.North || two.South >= one.North;
                sum += apart ? 0 : one.Sign * two.Sign * Overlap(one, two, buffer);
            }
        }

        return Math.Max(0, sum);
    }

    private static List<Triangle> Triangles(GridPolygon polygon, double originX, double originY)
    {
        List<Triangle> triangles = [];
        Add(polygon.Outer, 1);
        foreach (IReadOnlyList<GridPoint> hole in polygon.Holes)
        {
            Add(hole, -1);
        }

        return triangles;

        void Add(IReadOnlyList<GridPoint> ring, int sign)
        {
            double area = 0;
            List<Triangle> own = [];
            for (int at = 0; at < ring.Count; at++)
            {
                GridPoint here = ring[at];
                GridPoint next = ring[(at + 1) % ring.Count];
                double x1 = here.EastingMetres - originX;
                double y1 = here.NorthingMetres - originY;
                double x2 = next.EastingMetres - originX;
                double y2 = next.NorthingMetres - originY;
                double twice = (x1 * y2) - (x2 * y1);
                area += twice;
                if (twice > 0)
                {
                    own.Add(new Triangle(x1, y1, x2, y2, 1));
                }
                else if (twice < 0)
                {
                    own.Add(new Triangle(x2, y2, x1, y1, -1));
                }
            }

            int turn = area >= 0 ? sign : -sign;
            triangles.AddRange(own.Select(triangle => triangle with { Sign = triangle.Sign * turn }));
        }
    }

    // Clips one triangle by the three edges of the other (both turn counter-clockwise).
    private static double Overlap(Triangle a, Triangle b, Span<double> buffer)
    {
        Span<double> from = buffer[..32];
        Span<double> to = buffer[32..];
        ReadOnlySpan<double> corners = [0, 0, a.X1, a.Y1, a.X2, a.Y2];
        corners.CopyTo(from);
        int count = 3;
        ReadOnlySpan<double> edges = [0, 0, b.X1, b.Y1, b.X1, b.Y1, b.X2, b.Y2, b.X2, b.Y2, 0, 0];
        for (int edge = 0; edge < 3 && count > 2; edge++)
        {
            double x0 = edges[4 * edge];
            double y0 = edges[(4 * edge) + 1];
            double dx = edges[(4 * edge) + 2] - x0;
            double dy = edges[(4 * edge) + 3] - y0;
            int kept = 0;
            for (int at = 0; at < count; at++)
            {
                int next = (at + 1) % count;
                double here = (dx * (from[(2 * at) + 1] - y0)) - (dy * (from[2 * at] - x0));
                double there = (dx * (from[(2 * next) + 1] - y0)) - (dy * (from[2 * next] - x0));
                if (here >= 0)
                {
                    (to[2 * kept], to[(2 * kept) + 1]) = (from[2 * at], from[(2 * at) + 1]);
                    kept++;
                }

                if ((here > 0 && there < 0) || (here < 0 && there > 0))
                {
                    double share = here / (here - there);
                    to[2 * kept] = from[2 * at] + (share * (from[2 * next] - from[2 * at]));
                    to[(2 * kept) + 1] = from[(2 * at) + 1] + (share * (from[(2 * next) + 1] - from[(2 * at) + 1]));
                    kept++;
                }
            }

            count = kept;
            Span<double> swap = from;
            from = to;
            to = swap;
        }

        double area = 0;
        for (int at = 0; at < count; at++)
        {
            int next = (at + 1) % count;
            area += (from[2 * at] * from[(2 * next) + 1]) - (from[2 * next] * from[(2 * at) + 1]);
        }

        return area / 2;
    }

    /// <summary>From the origin over two corners, counter-clockwise; the sign says whether it adds or takes away.</summary>
    private readonly record struct Triangle(double X1, double Y1, double X2, double Y2, int Sign)
    {
        public double West => Math.Min(0, Math.Min(X1, X2));

        public double East => Math.Max(0, Math.Max(X1, X2));

        public double South => Math.Min(0, Math.Min(Y1, Y2));

        public double North => Math.Max(0, Math.Max(Y1, Y2));
    }
}
