using Hillrow.Earth;

namespace Hillrow.Handover;

/// <summary>Which way a ring turns, as formats ask for it.</summary>
internal static class RingTurn
{
    public static IReadOnlyList<GridPoint> Anticlockwise(IReadOnlyList<GridPoint> ring) =>
        TwiceArea(ring) >= 0 ? ring : [.. ring.Reverse()];

    public static IReadOnlyList<GridPoint> Clockwise(IReadOnlyList<GridPoint> ring) =>
        TwiceArea(ring) <= 0 ? ring : [.. ring.Reverse()];

    private static double TwiceArea(IReadOnlyList<GridPoint> ring)
    {
        double sum = 0;
        for (int at = 0; at < ring.Count; at++)
        {
            GridPoint a = ring[at];
            GridPoint b = ring[(at + 1) % ring.Count];
            // From the first point, or the grid's large numbers would drown a small ring.
            sum +=
                ((a.EastingMetres - ring[0].EastingMetres) * (b.NorthingMetres - ring[0].NorthingMetres))
                - ((b.EastingMetres - ring[0].EastingMetres) * (a.NorthingMetres - ring[0].NorthingMetres));
        }

        return sum;
    }
}
