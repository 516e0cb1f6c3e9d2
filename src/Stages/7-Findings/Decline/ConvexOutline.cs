using Hillrow.Earth;

namespace Hillrow.Findings;

/// <summary>The convex outline of places with a margin around each.</summary>
/// <remarks>Hull: Andrew 1979, doi 10.1016/0020-0190(79)90072-3, over eight points around each place.</remarks>
internal static class ConvexOutline
{
    private const int PointsAround = 8;

    public static GridPolygon Around(IReadOnlyList<GridPoint> places, double marginMetres)
    {
        List<GridPoint> points = [];
        foreach (GridPoint place in places)
        {
            for (int step = 0; step < PointsAround; step++)
            {
                double angle = Math.Tau * step / PointsAround;
                points.Add(
                    new GridPoint(
                        place.EastingMetres + (marginMetres * Math.Cos(angle)),
                        place.NorthingMetres + (marginMetres * Math.Sin(angle))
                    )
                );
            }
        }

        GridPoint[] sorted = [.. points.OrderBy(point => point.EastingMetres).ThenBy(point => point.NorthingMetres)];
        List<GridPoint> hull = Half(sorted);
        hull.RemoveAt(hull.Count - 1);
        Array.Reverse(sorted);
        List<GridPoint> upper = Half(sorted);
        upper.RemoveAt(upper.Count - 1);
        return new GridPolygon([.. hull, .. upper]);
    }

    private static List<GridPoint> Half(GridPoint[] sorted)
    {
        List<GridPoint> chain = [];
        foreach (GridPoint point in sorted)
        {
            while (chain.Count >= 2 && Turn(chain[^2], chain[^1], point) <= 0)
            {
                chain.RemoveAt(chain.Count - 1);
            }

            chain.Add(point);
        }

        return chain;
    }

    private static double Turn(GridPoint a, GridPoint b, GridPoint c) =>
        ((b.EastingMetres - a.EastingMetres) * (c.NorthingMetres - a.NorthingMetres))
        - ((b.NorthingMetres - a.NorthingMetres) * (c.EastingMetres - a.EastingMetres));
}
