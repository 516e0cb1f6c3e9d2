using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>Chooses the pictures that a capture's heights are matched with: wide bases, in different directions.</summary>
internal static class PartnerChoice
{
    /// <summary>Base over height that sees height best before leaves look too different.</summary>
    private const double BestBaseToHeight = 0.35;

    /// <param name="capture">Whose partners.</param>
    /// <param name="pairs">All overlapping pairs.</param>
    /// <param name="centres">Of all captures, local metres.</param>
    /// <param name="heightsMetres">Height of each capture above the ground.</param>
    /// <param name="placed">Only placed captures take part.</param>
    /// <param name="count">Most partners.</param>
    public static int[] Choose(
        int capture,
        IReadOnlyList<CapturePair> pairs,
        IReadOnlyList<Vector3D> centres,
        IReadOnlyList<double> heightsMetres,
        IReadOnlyList<bool> placed,
        int count
    )
    {
        List<(int Other, double Worth, Vector3D Way)> candidates = [];
        foreach (CapturePair pair in pairs)
        {
            if (pair.First != capture && pair.Second != capture)
            {
                continue;
            }

            int other = pair.First == capture ? pair.Second : pair.First;
            Vector3D way = centres[other] - centres[capture];
            way = new Vector3D(way.X, way.Y, 0);
            double ratio = way.Length / heightsMetres[capture];
            if (placed[other] && ratio > 0.05)
            {
                double off = Math.Log(ratio / BestBaseToHeight);
                candidates.Add((other, Math.Min(1, pair.Overlap / 0.6) * Math.Exp(-off * off), way / way.Length));
            }
        }

        List<int> chosen = [];
        List<Vector3D> ways = [];
        while (chosen.Count < count && candidates.Count > 0)
        {
            // A direction already looked from is worth less: what one crown hides, another side shows.
            (int Other, double Worth, Vector3D Way) best = candidates
                .OrderByDescending(entry =>
                    entry.Worth
                    * (ways.Count == 0 ? 1 : ways.Min(way => 1 - (0.7 * Math.Max(0, Vector3D.Dot(way, entry.Way)))))
                )
                .ThenBy(entry => entry.Other)
                .First();
            chosen.Add(best.Other);
            ways.Add(best.Way);
            candidates.Remove(best);
        }

        return [.. chosen];
    }
}
