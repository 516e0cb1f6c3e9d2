using Hillrow.Earth;

namespace Hillrow.Rehearsal;

/// <summary>Pairs found places with true ones: nearest pairs first, each used once, none farther apart than allowed.</summary>
internal static class PlaceMatching
{
    /// <returns>By found place: index of the true one, or −1.</returns>
    public static int[] Match(
        IReadOnlyList<GridPoint> found,
        IReadOnlyList<GridPoint> real,
        Func<int, double> allowedMetresOfReal
    )
    {
        double cell = Math.Max(
            0.1,
            Enumerable.Range(0, real.Count).Select(allowedMetresOfReal).DefaultIfEmpty(1).Max()
        );
        (int, int) CellOf(GridPoint at) =>
            ((int)Math.Floor(at.EastingMetres / cell), (int)Math.Floor(at.NorthingMetres / cell));
        ILookup<(int, int), int> cells = Enumerable.Range(0, real.Count).ToLookup(index => CellOf(real[index]));
        List<(double Squared, int Found, int Real)> pairs = [];
        for (int index = 0; index < found.Count; index++)
        {
            (int x, int y) = CellOf(found[index]);
            for (int dx = -1; dx <= 1; dx++)
            {
                for (int dy = -1; dy <= 1; dy++)
                {
                    foreach (int other in cells[(x + dx, y + dy)])
                    {
                        double east = found[index].EastingMetres - real[other].EastingMetres;
                        double north = found[index].NorthingMetres - real[other].NorthingMetres;
                        double squared = (east * east) + (north * north);
                        double allowed = allowedMetresOfReal(other);
                        if (squared <= allowed * allowed)
                        {
                            pairs.Add((squared, index, other));
                        }
                    }
                }
            }
        }

        pairs.Sort();
        int[] matched = new int[found.Count];
        Array.Fill(matched, -1);
        bool[] taken = new bool[real.Count];
        foreach ((_, int index, int other) in pairs)
        {
            if (matched[index] < 0 && !taken[other])
            {
                matched[index] = other;
                taken[other] = true;
            }
        }

        return matched;
    }
}
