namespace Hillrow.Reconstruction;

/// <summary>Which captures hang together by common tie points.</summary>
internal static class SurveyParts
{
    /// <summary>Fewer common points do not hold two captures to each other, and may be chance.</summary>
    private const int LeastCommon = 8;

    /// <summary>Part of each capture, the largest is 0, then by size and first capture; −1: tied to none.</summary>
    public static int[] Of(IReadOnlyList<TiePoint> points, int captures)
    {
        Dictionary<(int, int), int> common = [];
        foreach (TiePoint point in points)
        {
            for (int one = 1; one < point.Sightings.Count; one++)
            {
                // Neighbours in the list are enough: long tracks join all of theirs.
                (int, int) pair = (point.Sightings[one - 1].Capture, point.Sightings[one].Capture);
                common[pair] = common.GetValueOrDefault(pair) + 1;
            }
        }

        int[] parent = [.. Enumerable.Range(0, captures)];
        bool[] tied = new bool[captures];
        foreach (((int first, int second), int count) in common.OrderBy(entry => entry.Key))
        {
            if (count >= LeastCommon)
            {
                (int a, int b) = (Root(parent, first), Root(parent, second));
                parent[Math.Max(a, b)] = Math.Min(a, b);
                tied[first] = tied[second] = true;
            }
        }

        int[] roots = [.. Enumerable.Range(0, captures).Select(index => Root(parent, index))];
        int[] order =
        [
            .. Enumerable
                .Range(0, captures)
                .Where(index => tied[index])
                .GroupBy(index => roots[index])
                .OrderByDescending(group => group.Count())
                .ThenBy(group => group.Key)
                .Select(group => group.Key),
        ];
        return [.. roots.Select((root, index) => tied[index] ? Array.IndexOf(order, root) : -1)];
    }

    private static int Root(int[] parent, int at)
    {
        while (parent[at] != at)
        {
            parent[at] = parent[parent[at]];
            at = parent[at];
        }

        return at;
    }
}
