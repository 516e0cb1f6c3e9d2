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

        // A root is the lowest number of its group, so groups come in the order of their first sighting.
        int[] members = new int[parent.Length];
        for (int at = 0; at < parent.Length; at++)
        {
            parent[at] = Root(parent, at);
            members[parent[at]]++;
        }

        int[] trackOf = new int[parent.Length];
        List<Sighting[]> groups = [];
        for (int at = 0; at < parent.Length; at++)
        {
            trackOf[at] = members[at] >= 2 ? groups.Count : -1;
            if (members[at] >= 2)
            {
                groups.Add(new Sighting[members[at]]);
            }
        }

        int[] filled = new int[groups.Count];
        bool[] twice = new bool[groups.Count];
        for (int capture = 0; capture < features.Length; capture++)
        {
            CaptureFeatures own = features[capture];
            for (int feature = 0; feature < own.Count; feature++)
            {
                int track = trackOf[parent[first[capture] + feature]];
                if (track < 0)
                {
                    continue;
                }

                int place = filled[track]++;
                twice[track] |= place > 0 && groups[track][place - 1].Capture == capture;
                groups[track][place] = new Sighting(capture, feature, own.Places[feature], own.Sizes[feature]);
            }
        }

        return [.. groups.Where((_, track) => !twice[track]).Select(sightings => new Track(sightings))];
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
