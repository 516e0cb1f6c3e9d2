using NetTopologySuite.Geometries;

namespace Hillrow.Planning;

/// <summary>No-fly areas widened by the margin, and the shortest ways around them.</summary>
internal sealed class KeptOutAreas
{
    private readonly List<PlanPoint> corners = [];

    public KeptOutAreas(IReadOnlyList<NoFlyArea> areas, double marginMetres)
    {
        if (areas.Count == 0)
        {
            return;
        }

        GeometryFactory factory = new();
        Geometry union = factory
            .CreateGeometryCollection([.. areas.Select(area => Shape(factory, area.Outline))])
            .Buffer(marginMetres);
        // Corners lie a little outside, so that a way along them does not count as inside.
        Geometry around = union.Buffer(0.5, 2);
        Outlines = [.. Polygons(union)];
        LineLimits = [.. Polygons(union.Buffer(1))];
        corners = [.. Polygons(around).SelectMany(polygon => polygon.Rings).SelectMany(ring => ring)];
    }

    public IReadOnlyList<PlanPolygon> Outlines { get; } = [];

    /// <summary>A metre wider: where lines end, so that a line's end does not itself count as inside.</summary>
    public IReadOnlyList<PlanPolygon> LineLimits { get; } = [];

    public bool Contains(PlanPoint place) => Outlines.Any(area => area.Contains(place));

    /// <summary>Whether a straight way touches an area.</summary>
    public bool Blocks(PlanPoint a, PlanPoint b)
    {
        foreach (PlanPolygon area in Outlines)
        {
            if (area.Contains(a) || area.Contains(b) || area.Rings.Any(ring => CrossesRing(ring, a, b)))
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>Shortest way in straight pieces, both ends included; null when there is none.</summary>
    public List<PlanPoint>? Way(PlanPoint from, PlanPoint to)
    {
        if (!Blocks(from, to))
        {
            return [from, to];
        }

        // Dijkstra over the corners; few areas are drawn, so all pairs are looked at as they are reached.
        List<PlanPoint> nodes = [from, to, .. corners];
        double[] least = [.. nodes.Select(_ => double.PositiveInfinity)];
        int[] before = new int[nodes.Count];
        bool[] done = new bool[nodes.Count];
        least[0] = 0;
        while (true)
        {
            int here = -1;
            for (int at = 0; at < nodes.Count; at++)
            {
                if (!done[at] && double.IsFinite(least[at]) && (here < 0 || least[at] < least[here]))
                {
                    here = at;
                }
            }

            if (here < 0)
            {
                return null;
            }

            if (here == 1)
            {
                List<PlanPoint> way = [];
                for (int at = 1; at != 0; at = before[at])
                {
                    way.Add(nodes[at]);
                }

                way.Add(from);
                way.Reverse();
                return way;
            }

            done[here] = true;
            for (int at = 1; at < nodes.Count; at++)
            {
                double length = least[here] + nodes[here].DistanceTo(nodes[at]);
                if (!done[at] && length < least[at] && !Blocks(nodes[here], nodes[at]))
                {
                    least[at] = length;
                    before[at] = here;
                }
            }
        }
    }

    private static bool CrossesRing(IReadOnlyList<PlanPoint> ring, PlanPoint a, PlanPoint b)
    {
        for (int at = 0; at < ring.Count; at++)
        {
            PlanPoint c = ring[at];
            PlanPoint d = ring[(at + 1) % ring.Count];
            if (Side(a, b, c) * Side(a, b, d) < 0 && Side(c, d, a) * Side(c, d, b) < 0)
            {
                return true;
            }
        }

        return false;
    }

    private static double Side(PlanPoint a, PlanPoint b, PlanPoint c) =>
        ((b.EastMetres - a.EastMetres) * (c.NorthMetres - a.NorthMetres))
        - ((b.NorthMetres - a.NorthMetres) * (c.EastMetres - a.EastMetres));

    private static Polygon Shape(GeometryFactory factory, PlanPolygon outline) =>
        factory.CreatePolygon(Ring(factory, outline.Outer), [.. outline.Holes.Select(hole => Ring(factory, hole))]);

    private static LinearRing Ring(GeometryFactory factory, IReadOnlyList<PlanPoint> ring) =>
        factory.CreateLinearRing([
            .. ring.Append(ring[0]).Select(point => new Coordinate(point.EastMetres, point.NorthMetres)),
        ]);

    private static IEnumerable<PlanPolygon> Polygons(Geometry shape)
    {
        for (int at = 0; at < shape.NumGeometries; at++)
        {
            if (shape.GetGeometryN(at) is Polygon { IsEmpty: false } polygon)
            {
                yield return new PlanPolygon(Points(polygon.ExteriorRing), [.. polygon.InteriorRings.Select(Points)]);
            }
        }
    }

    private static IReadOnlyList<PlanPoint> Points(LineString ring) =>
        [.. ring.Coordinates.SkipLast(1).Select(at => new PlanPoint(at.X, at.Y))];
}
