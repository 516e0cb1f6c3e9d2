using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Chooses whose pixels' heights are measured: enough captures over every place, no more.</summary>
internal static class CaptureChoice
{
    /// <summary>Captures measured over each place, where so many see it: their median is then settled.</summary>
    private const int Wanted = 7;

    private const int RaysAcross = 14;
    private const double CellMetres = 5;

    /// <summary>A capture that helps fewer of the places it sees is not worth its time.</summary>
    private const double LeastGain = 0.04;

    /// <param name="frames">Pose and lens of each capture.</param>
    /// <param name="usable">Only these are chosen; in order.</param>
    /// <param name="ground">Smooth surface through the tie points.</param>
    /// <param name="wellSeen">Places seen otherwise do not count.</param>
    /// <returns>Ascending; most useful first chosen, the lower index where equal.</returns>
    public static int[] Choose(
        IReadOnlyList<SightedFrame> frames,
        IReadOnlyList<int> usable,
        HeightField ground,
        WellSeen wellSeen
    )
    {
        Dictionary<(int, int), int> covered = [];
        (int, int)[][] seen = [.. usable.Select(index => Places(frames[index], ground, wellSeen))];
        bool[] chosen = new bool[seen.Length];

        // A gain only falls while others are chosen, so a stale one is an upper bound: only the best is reckoned anew.
        PriorityQueue<int, (int Lack, int At)> best = new();
        for (int at = 0; at < seen.Length; at++)
        {
            best.Enqueue(at, (-seen[at].Length, at));
        }

        while (best.TryDequeue(out int at, out (int Lack, int At) told))
        {
            int gain = seen[at].Count(place => covered.GetValueOrDefault(place) < Wanted);
            if (gain == 0 || gain < LeastGain * seen[at].Length)
            {
                continue;
            }

            if (gain < -told.Lack)
            {
                best.Enqueue(at, (-gain, at));
                continue;
            }

            chosen[at] = true;
            foreach ((int, int) place in seen[at])
            {
                covered[place] = covered.GetValueOrDefault(place) + 1;
            }
        }

        return [.. usable.Where((_, at) => chosen[at])];
    }

    private static (int, int)[] Places(SightedFrame frame, HeightField ground, WellSeen wellSeen)
    {
        HashSet<(int, int)> places = [];
        for (int row = 0; row < RaysAcross; row++)
        {
            for (int column = 0; column < RaysAcross; column++)
            {
                Imaging.PixelPoint pixel = new(
                    (column + 0.5) * frame.Lens.Columns / RaysAcross,
                    (row + 0.5) * frame.Lens.Rows / RaysAcross
                );
                if (
                    SurfaceSight.TryHit(frame, pixel, ground, out Vector3D place)
                    && wellSeen.Holds(frame.Pose.CentreLocalMetres, place)
                )
                {
                    places.Add(((int)Math.Floor(place.X / CellMetres), (int)Math.Floor(place.Y / CellMetres)));
                }
            }
        }

        return [.. places];
    }
}
