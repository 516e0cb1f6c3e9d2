namespace Hillrow.Intake;

/// <summary>Which ground pictures are compared: per picture, near and far neighbours that share ground, all ways round.</summary>
internal static class PicturePairs
{
    private const int Sectors = 8;

    /// <summary>Of the smaller picture's ground; less holds too few patches.</summary>
    private const double LeastShare = 0.12;

    /// <summary>The far neighbour of a sector: a long base tells heights well while enough ground is shared.</summary>
    private const double FarShare = 0.3;

    /// <param name="quarters">Ground pictures at a quarter of the resolution; null for captures without one.</param>
    /// <param name="leastBase">Cells of those pictures; nearer ones tell no height.</param>
    /// <param name="options">Threads; the result does not depend on them.</param>
    /// <returns>Pairs (first, second), first below second, in order.</returns>
    public static IReadOnlyList<(int First, int Second)> Choose(
        IReadOnlyList<GroundPicture?> quarters,
        double leastBase,
        ParallelOptions options
    )
    {
        int[][] chosen = new int[quarters.Count][];
        Parallel.For(0, quarters.Count, options, one => chosen[one] = [.. Neighbours(quarters, one, leastBase)]);
        SortedSet<(int, int)> pairs = [];
        for (int one = 0; one < chosen.Length; one++)
        {
            foreach (int place in chosen[one])
            {
                pairs.Add((Math.Min(one, place), Math.Max(one, place)));
            }
        }

        return [.. pairs];
    }

    private static IEnumerable<int> Neighbours(IReadOnlyList<GroundPicture?> quarters, int one, double leastBase)
    {
        if (quarters[one] is not { } own)
        {
            return [];
        }

        (int Place, double Distance)?[] near = new (int, double)?[Sectors];
        (int Place, double Distance)?[] far = new (int, double)?[Sectors];
        for (int other = 0; other < quarters.Count; other++)
        {
            if (other == one || quarters[other] is not { } with || !Touch(own, with))
            {
                continue;
            }

            double east = with.West + (with.Columns / 2.0) - own.West - (own.Columns / 2.0);
            double north = with.South + (with.Rows / 2.0) - own.South - (own.Rows / 2.0);
            double distance = Math.Sqrt((east * east) + (north * north));
            int sector = (int)Math.Floor(((Math.Atan2(north, east) / (2 * Math.PI)) + 0.5) * Sectors) % Sectors;
            bool nearer = IsBetter(near[sector], distance, -1, one, other);
            bool farther = IsBetter(far[sector], distance, 1, one, other);
            if (distance < leastBase || !(nearer || farther))
            {
                continue;
            }

            double share = SharedGround(own, with);
            if (share < LeastShare)
            {
                continue;
            }

            if (nearer)
            {
                near[sector] = (other, distance);
            }

            if (share >= FarShare && farther)
            {
                far[sector] = (other, distance);
            }
        }

        return near.Concat(far).OfType<(int Place, double)>().Select(neighbour => neighbour.Place);
    }

    /// <summary>Of places equally far the one taken nearest in time: ground flown twice is not tied crosswise.</summary>
    private static bool IsBetter((int Place, double Distance)? known, double distance, int wanted, int one, int other)
    {
        if (known is not { } best)
        {
            return true;
        }

        double gain = wanted * (distance - best.Distance);
        return gain > SamePlace || (gain >= -SamePlace && Math.Abs(other - one) < Math.Abs(best.Place - one));
    }

    /// <summary>Cells.</summary>
    private const double SamePlace = 0.5;

    private static bool Touch(GroundPicture one, GroundPicture other) =>
        one.West < other.West + other.Columns
        && other.West < one.West + one.Columns
        && one.South < other.South + other.Rows
        && other.South < one.South + one.Rows;

    private static double SharedGround(GroundPicture one, GroundPicture other)
    {
        int both = 0;
        int first = Math.Max(one.South, other.South);
        int last = Math.Min(one.South + one.Rows, other.South + other.Rows);
        int left = Math.Max(one.West, other.West);
        int right = Math.Min(one.West + one.Columns, other.West + other.Columns);
        for (int row = first; row < last && left < right; row++)
        {
            both += SharedMoments.CountShared(
                one.Values.AsSpan(((row - one.South) * one.Columns) + left - one.West, right - left),
                other.Values.AsSpan(((row - other.South) * other.Columns) + left - other.West, right - left)
            );
        }

        return both / (double)Math.Max(1, Math.Min(one.Seen, other.Seen));
    }
}
