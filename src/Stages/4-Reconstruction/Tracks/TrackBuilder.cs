namespace Hillrow.Reconstruction;

/// <summary>Joins the ties of pairs into tracks through many captures.</summary>
internal static class TrackBuilder
{
    /// <summary>Tracks in the order of their first sighting; those with two features in one capture are refused.</summary>
    public static IReadOnlyList<Track> Build(IReadOnlyList<PairTies> pairs, CaptureFeatures[] features)
    {
        int[] first = new int[features.Length + 1];
        for (int capture = 0; capture < features.Length; capture++)
        {
            first[capture + 1] = first[capture] + features[capture].Count;
        }

        int[] parent = [.. Enumerable.Range(0, first[^1])];
        foreach (PairTies pair in pairs)
        {
            foreach (FeatureTie tie in pair.Ties)
            {
                int a = Root(parent, first[pair.Pair.First] + tie.First);
                int b = Root(parent, first[pair.Pair.Second] + tie.Second);
                parent[Math.Max(a, b)] = Math.Min(a, b);
            }
        }

        Dictionary<int, List<Sighting>> groups = [];
        List<int> order = [];
        for (int capture = 0; capture < features.Length; capture++)
        {
            for (int feature = 0; feature < features[capture].Count; feature++)
            {
                int root = Root(parent, first[capture] + feature);
                if (!groups.TryGetValue(root, out List<Sighting>? group))
                {
                    groups[root] = group = [];
                    order.Add(root);
                }

                group.Add(
                    new Sighting(capture, feature, features[capture].Places[feature], features[capture].Sizes[feature])
                );
            }
        }

        List<Track> tracks = [];
        foreach (int root in order)
        {
            List<Sighting> group = groups[root];
            bool twice = false;
            for (int at = 1; at < group.Count; at++)
            {
                twice |= group[at].Capture == group[at - 1].Capture;
            }

            if (group.Count >= 2 && !twice)
            {
                tracks.Add(new Track([.. group]));
            }
        }

        return tracks;
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
