namespace Hillrow.Planning;

/// <summary>A polygon with holes in the plan's local frame. Rings are not closed (the first point is not repeated).</summary>
/// <param name="Outer">At least three points, any direction of turn.</param>
/// <param name="Holes">Rings inside the outer one.</param>
public sealed record PlanPolygon(IReadOnlyList<PlanPoint> Outer, IReadOnlyList<IReadOnlyList<PlanPoint>> Holes)
{
    public PlanPolygon(IReadOnlyList<PlanPoint> outer)
        : this(outer, []) { }

    /// <summary>Outer ring first.</summary>
    public IEnumerable<IReadOnlyList<PlanPoint>> Rings => Holes.Prepend(Outer);

    public double AreaSquareMetres => Math.Abs(SignedArea(Outer)) - Holes.Sum(hole => Math.Abs(SignedArea(hole)));

    /// <summary>Centre of area of the outer ring; the middle of its corners when it has no area.</summary>
    public PlanPoint Centroid
    {
        get
        {
            PlanPoint origin = Outer[0];
            double twice = 0;
            double east = 0;
            double north = 0;
            for (int at = 0; at < Outer.Count; at++)
            {
                PlanPoint here = Outer[at];
                PlanPoint next = Outer[(at + 1) % Outer.Count];
                (double x1, double y1) = (here.EastMetres - origin.EastMetres, here.NorthMetres - origin.NorthMetres);
                (double x2, double y2) = (next.EastMetres - origin.EastMetres, next.NorthMetres - origin.NorthMetres);
                double cross = (x1 * y2) - (x2 * y1);
                twice += cross;
                east += (x1 + x2) * cross;
                north += (y1 + y2) * cross;
            }

            return Math.Abs(twice) < 1e-9
                ? new PlanPoint(Outer.Average(point => point.EastMetres), Outer.Average(point => point.NorthMetres))
                : new PlanPoint(origin.EastMetres + (east / (3 * twice)), origin.NorthMetres + (north / (3 * twice)));
        }
    }

    /// <summary>Whether a place lies inside and in no hole (even–odd rule; an edge may fall either way).</summary>
    public bool Contains(PlanPoint place)
    {
        bool inside = false;
        foreach (IReadOnlyList<PlanPoint> ring in Rings)
        {
            for (int at = 0, before = ring.Count - 1; at < ring.Count; before = at++)
            {
                PlanPoint a = ring[at];
                PlanPoint b = ring[before];
                if (a.NorthMetres > place.NorthMetres != b.NorthMetres > place.NorthMetres)
                {
                    double share = (place.NorthMetres - a.NorthMetres) / (b.NorthMetres - a.NorthMetres);
                    inside ^= place.EastMetres < a.EastMetres + (share * (b.EastMetres - a.EastMetres));
                }
            }
        }

        return inside;
    }

    /// <summary>Shoelace formula; above 0 when the ring turns counter-clockwise.</summary>
    internal static double SignedArea(IReadOnlyList<PlanPoint> ring)
    {
        double twice = 0;
        for (int at = 0; at < ring.Count; at++)
        {
            PlanPoint here = ring[at];
            PlanPoint next = ring[(at + 1) % ring.Count];
            twice +=
                ((here.EastMetres - ring[0].EastMetres) * (next.NorthMetres - ring[0].NorthMetres))
                - ((next.EastMetres - ring[0].EastMetres) * (here.NorthMetres - ring[0].NorthMetres));
        }

        return twice / 2;
    }
}
