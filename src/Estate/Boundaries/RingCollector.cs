using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>Makes polygons of raw rings: closes them, drops those that enclose nothing, and counts points.</summary>
internal sealed class RingCollector
{
    private static readonly GeometryFactory Factory = new();
    private int points;

    /// <summary>What was dropped, one line each.</summary>
    public List<string> Notes { get; } = [];

    /// <param name="where">For notes.</param>
    /// <param name="rings">The first is the outline, the rest are holes. Not yet closed.</param>
    /// <returns>Null when the outline has fewer than three different points.</returns>
    /// <exception cref="InvalidDataException">A coordinate is not finite, or there are absurdly many points.</exception>
    public Polygon? Polygon(string where, IReadOnlyList<IReadOnlyList<Coordinate>> rings)
    {
        List<LinearRing> closed = [];
        for (int index = 0; index < rings.Count; index++)
        {
            Coordinate[] ring = Close(rings[index]);
            if (ring.Length >= 4)
            {
                closed.Add(Factory.CreateLinearRing(ring));
            }
            else if (index == 0)
            {
                Notes.Add($"{where}: an outline of fewer than three different points was left out");
                return null;
            }
            else
            {
                Notes.Add($"{where}: a hole of fewer than three different points was left out");
            }
        }

        return closed.Count == 0 ? null : Factory.CreatePolygon(closed[0], [.. closed.Skip(1)]);
    }

    /// <summary>Closes a ring and drops points that repeat the one before.</summary>
    private Coordinate[] Close(IReadOnlyList<Coordinate> ring)
    {
        points += ring.Count;
        if (points > BoundaryLimits.Points)
        {
            throw new InvalidDataException($"it has more than {BoundaryLimits.Points} points");
        }

        List<Coordinate> kept = new(ring.Count + 1);
        foreach (Coordinate point in ring)
        {
            if (
                !double.IsFinite(point.X)
                || !double.IsFinite(point.Y)
                || Math.Abs(point.X) > 1e9
                || Math.Abs(point.Y) > 1e9
            )
            {
                throw new InvalidDataException("a coordinate is no place on earth");
            }

            if (kept.Count == 0 || !kept[^1].Equals2D(point))
            {
                kept.Add(point);
            }
        }

        if (kept.Count > 0 && !kept[0].Equals2D(kept[^1]))
        {
            kept.Add(kept[0]);
        }

        return [.. kept];
    }
}
