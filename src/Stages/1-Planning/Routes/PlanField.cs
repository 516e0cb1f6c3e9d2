namespace Hillrow.Planning;

/// <summary>Blocks so near to each other that one set of lines serves them all.</summary>
/// <param name="Number">From 0.</param>
/// <param name="Blocks">Its blocks.</param>
internal sealed record PlanField(int Number, IReadOnlyList<PlanBlock> Blocks)
{
    public IReadOnlyList<PlanPolygon> Polygons { get; } = [.. Blocks.SelectMany(block => block.Parts)];

    /// <summary>Groups blocks whose outlines come nearer to each other than the strips beside both would overlap.</summary>
    public static List<PlanField> Of(IReadOnlyList<PlanBlock> blocks, double joinMetres)
    {
        int[] group = [.. Enumerable.Range(0, blocks.Count)];
        for (int a = 0; a < blocks.Count; a++)
        {
            for (int b = a + 1; b < blocks.Count; b++)
            {
                if (group[a] != group[b] && Nearer(blocks[a], blocks[b], joinMetres))
                {
                    (int from, int to) = (Math.Max(group[a], group[b]), Math.Min(group[a], group[b]));
                    for (int at = 0; at < group.Length; at++)
                    {
                        group[at] = group[at] == from ? to : group[at];
                    }
                }
            }
        }

        return
        [
            .. group
                .Distinct()
                .Order()
                .Select((one, number) => new PlanField(number, [.. blocks.Where((_, at) => group[at] == one)])),
        ];
    }

    private static bool Nearer(PlanBlock a, PlanBlock b, double metres) =>
        a.Parts.Any(one => b.Parts.Any(two => Nearer(one.Outer, two.Outer, metres)));

    private static bool Nearer(IReadOnlyList<PlanPoint> a, IReadOnlyList<PlanPoint> b, double metres) =>
        Corners(a, b, metres) || Corners(b, a, metres);

    private static bool Corners(IReadOnlyList<PlanPoint> corners, IReadOnlyList<PlanPoint> ring, double metres)
    {
        foreach (PlanPoint corner in corners)
        {
            for (int at = 0; at < ring.Count; at++)
            {
                if (Distance(corner, ring[at], ring[(at + 1) % ring.Count]) < metres)
                {
                    return true;
                }
            }
        }

        return false;
    }

    private static double Distance(PlanPoint point, PlanPoint a, PlanPoint b)
    {
        double east = b.EastMetres - a.EastMetres;
        double north = b.NorthMetres - a.NorthMetres;
        double square = (east * east) + (north * north);
        double share =
            square > 0
                ? (((point.EastMetres - a.EastMetres) * east) + ((point.NorthMetres - a.NorthMetres) * north)) / square
                : 0;
        return point.DistanceTo(a.Between(b, Math.Clamp(share, 0, 1)));
    }
}
