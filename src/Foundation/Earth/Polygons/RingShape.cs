namespace Hillrow.Earth;

/// <summary>Length, middle, hull and simplification of a ring of places. Rings are not closed.</summary>
public static class RingShape
{
    public static double LengthMetres(IReadOnlyList<GridPoint> ring)
    {
        ArgumentNullException.ThrowIfNull(ring);
        double length = 0;
        for (int at = 0; at < ring.Count; at++)
        {
            length += Distance(ring[at], ring[(at + 1) % ring.Count]);
        }

        return length;
    }

    /// <summary>Centre of the enclosed area (of the corners when it encloses none).</summary>
    public static GridPoint Centroid(IReadOnlyList<GridPoint> ring)
    {
        ArgumentNullException.ThrowIfNull(ring);
        GridPoint origin = ring[0];
        double twice = 0;
        double x = 0;
        double y = 0;
        for (int at = 0; at < ring.Count; at++)
        {
            double x0 = ring[at].EastingMetres - origin.EastingMetres;
            double y0 = ring[at].NorthingMetres - origin.NorthingMetres;
            double x1 = ring[(at + 1) % ring.Count].EastingMetres - origin.EastingMetres;
            double y1 = ring[(at + 1) % ring.Count].NorthingMetres - origin.NorthingMetres;
            double cross = (x0 * y1) - (x1 * y0);
            twice += cross;
            x += (x0 + x1) * cross;
            y += (y0 + y1) * cross;
        }

        return twice.Equals(0.0)
            ? new GridPoint(ring.Average(point => point.EastingMetres), ring.Average(point => point.NorthingMetres))
            : new GridPoint(origin.EastingMetres + (x / (3 * twice)), origin.NorthingMetres + (y / (3 * twice)));
    }

    /// <summary>Convex hull, counter-clockwise from the westernmost corner.</summary>
    /// <remarks>Monotone chain (A. M. Andrew 1979, doi 10.1016/0020-0190(79)90072-3, from memory).</remarks>
    public static IReadOnlyList<GridPoint> Hull(IReadOnlyList<GridPoint> places)
    {
        GridPoint[] sorted = [.. places.Distinct().OrderBy(p => p.EastingMetres).ThenBy(p => p.NorthingMetres)];
        if (sorted.Length < 3)
        {
            return sorted;
        }

        List<GridPoint> hull = [];
        for (int pass = 0; pass < 2; pass++)
        {
            int start = hull.Count;
            foreach (GridPoint place in pass == 0 ? sorted : sorted.Reverse())
            {
                while (hull.Count >= start + 2 && Cross(hull[^2], hull[^1], place) <= 0)
                {
                    hull.RemoveAt(hull.Count - 1);
                }

                hull.Add(place);
            }

            hull.RemoveAt(hull.Count - 1);
        }

        return hull;
    }

    /// <summary>Area of the smallest rectangle of any direction that holds all places, square metres.</summary>
    public static double SmallestRectangleArea(IReadOnlyList<GridPoint> places)
    {
        // One side of the smallest rectangle lies on a side of the hull (Freeman & Shapira 1975, doi 10.1145/360881.360919).
        IReadOnlyList<GridPoint> hull = Hull(places);
        double least = double.PositiveInfinity;
        for (int at = 0; at < hull.Count; at++)
        {
            GridPoint a = hull[at];
            GridPoint b = hull[(at + 1) % hull.Count];
            double length = Distance(a, b);
            double ux = (b.EastingMetres - a.EastingMetres) / length;
            double uy = (b.NorthingMetres - a.NorthingMetres) / length;
            double low = double.PositiveInfinity;
            double high = double.NegativeInfinity;
            double far = 0;
            foreach (GridPoint place in hull)
            {
                double x = place.EastingMetres - a.EastingMetres;
                double y = place.NorthingMetres - a.NorthingMetres;
                double along = (x * ux) + (y * uy);
                low = Math.Min(low, along);
                high = Math.Max(high, along);
                far = Math.Max(far, Math.Abs((y * ux) - (x * uy)));
            }

            least = Math.Min(least, (high - low) * far);
        }

        return double.IsFinite(least) ? least : 0;
    }

    /// <summary>Leaves out corners so that none lies farther than the tolerance from the new ring; the first corner stays.</summary>
    /// <remarks>D. H. Douglas and T. K. Peucker 1973, doi 10.3138/FM57-6770-U75U-7727. The result may cross itself.</remarks>
    public static IReadOnlyList<GridPoint> Simplify(IReadOnlyList<GridPoint> ring, double toleranceMetres)
    {
        ArgumentNullException.ThrowIfNull(ring);
        ArgumentOutOfRangeException.ThrowIfNegative(toleranceMetres);
        bool[] keep = new bool[ring.Count + 1];
        keep[0] = true;
        keep[^1] = true;
        Stack<(int From, int To)> open = new();
        open.Push((0, ring.Count));
        while (open.TryPop(out (int From, int To) part))
        {
            int farthest = -1;
            double most = toleranceMetres;
            for (int at = part.From + 1; at < part.To; at++)
            {
                double off = DistanceToSegment(ring[at], ring[part.From], ring[part.To % ring.Count]);
                if (off > most)
                {
                    (most, farthest) = (off, at);
                }
            }

            if (farthest >= 0)
            {
                keep[farthest] = true;
                open.Push((part.From, farthest));
                open.Push((farthest, part.To));
            }
        }

        List<GridPoint> result = [];
        for (int at = 0; at < ring.Count; at++)
        {
            if (keep[at])
            {
                result.Add(ring[at]);
            }
        }

        return result;
    }

    /// <summary>Largest distance from a corner of either ring to the other ring, metres.</summary>
    public static double LargestDistance(IReadOnlyList<GridPoint> a, IReadOnlyList<GridPoint> b)
    {
        return Math.Max(OneWay(a, b), OneWay(b, a));

        static double OneWay(IReadOnlyList<GridPoint> from, IReadOnlyList<GridPoint> to) =>
            from.Max(place =>
                Enumerable.Range(0, to.Count).Min(at => DistanceToSegment(place, to[at], to[(at + 1) % to.Count]))
            );
    }

    public static double DistanceToSegment(GridPoint place, GridPoint a, GridPoint b)
    {
        double dx = b.EastingMetres - a.EastingMetres;
        double dy = b.NorthingMetres - a.NorthingMetres;
        double x = place.EastingMetres - a.EastingMetres;
        double y = place.NorthingMetres - a.NorthingMetres;
        double square = (dx * dx) + (dy * dy);
        double share = square > 0 ? Math.Clamp(((x * dx) + (y * dy)) / square, 0, 1) : 0;
        return Math.Sqrt(Square(x - (share * dx)) + Square(y - (share * dy)));
    }

    private static double Distance(GridPoint a, GridPoint b) =>
        Math.Sqrt(Square(a.EastingMetres - b.EastingMetres) + Square(a.NorthingMetres - b.NorthingMetres));

    private static double Cross(GridPoint a, GridPoint b, GridPoint c) =>
        ((b.EastingMetres - a.EastingMetres) * (c.NorthingMetres - a.NorthingMetres))
        - ((b.NorthingMetres - a.NorthingMetres) * (c.EastingMetres - a.EastingMetres));

    private static double Square(double value) => value * value;
}
