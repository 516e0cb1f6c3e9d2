namespace Hillrow.Reconstruction;

/// <summary>Finds the captures that show what one shows, by the looks of their strongest features.</summary>
internal static class AlikeCaptures
{
    private const int Compared = 150;
    private const int LeastAlike = 4;

    /// <summary>The most alike of the others, best first.</summary>
    public static IReadOnlyList<int> Of(int capture, CaptureFeatures[] features, Func<int, bool> others, int most)
    {
        List<(int Ties, int Capture)> found = [];
        for (int other = 0; other < features.Length; other++)
        {
            if (other != capture && others(other))
            {
                int ties = LookMatch.Alike(features[capture], features[other], Compared).Count;
                if (ties >= LeastAlike)
                {
                    found.Add((ties, other));
                }
            }
        }

        return
        [
            .. found
                .OrderByDescending(entry => entry.Ties)
                .ThenBy(entry => entry.Capture)
                .Take(most)
                .Select(entry => entry.Capture),
        ];
    }
}
