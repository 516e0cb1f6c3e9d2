using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Two captures that see common ground.</summary>
/// <param name="First">Index of the earlier capture.</param>
/// <param name="Second">Index of the later capture.</param>
/// <param name="Overlap">Smaller of the two shares of the frames that the other sees, 0 … 1.</param>
internal readonly record struct CapturePair(int First, int Second, double Overlap);

/// <summary>Finds which captures overlap, from their poses and the ground.</summary>
internal static class PairSelection
{
    private const int Samples = 8;

    /// <param name="frames">Pose and lens of each capture.</param>
    /// <param name="surface">Ground in the same local frame.</param>
    /// <param name="leastOverlap">Least share of a frame seen by the other.</param>
    /// <param name="partners">Most partners of a capture; a pair stays when either side wants it.</param>
    /// <param name="marginPixels">Places this far outside the other frame still count: poses are uncertain.</param>
    public static IReadOnlyList<CapturePair> Choose(
        IReadOnlyList<SightedFrame> frames,
        HeightField surface,
        double leastOverlap,
        int partners,
        double marginPixels
    )
    {
        Vector3D[][] ground = [.. frames.Select(frame => GroundSamples(frame, surface))];
        double reach = 0;
        for (int index = 0; index < frames.Count; index++)
        {
            Vector3D centre = frames[index].Pose.CentreLocalMetres;
            foreach (Vector3D place in ground[index])
            {
                reach = Math.Max(reach, Math.Sqrt(Plan(place - centre)));
            }
        }

        List<CapturePair> all = [];
        for (int first = 0; first < frames.Count; first++)
        {
            for (int second = first + 1; second < frames.Count; second++)
            {
                Vector3D apart = frames[second].Pose.CentreLocalMetres - frames[first].Pose.CentreLocalMetres;
                if (Plan(apart) > 4 * reach * reach)
                {
                    continue;
                }

                double overlap = Math.Min(
                    ShareSeen(ground[first], frames[second], marginPixels),
                    ShareSeen(ground[second], frames[first], marginPixels)
                );
                if (overlap >= leastOverlap)
                {
                    all.Add(new CapturePair(first, second, overlap));
                }
            }
        }

        int[] taken = new int[frames.Count];
        List<CapturePair> chosen = [];
        foreach (
            CapturePair pair in all.OrderByDescending(pair => pair.Overlap)
                .ThenBy(pair => pair.First)
                .ThenBy(pair => pair.Second)
        )
        {
            if (taken[pair.First] < partners || taken[pair.Second] < partners)
            {
                taken[pair.First]++;
                taken[pair.Second]++;
                chosen.Add(pair);
            }
        }

        return [.. chosen.OrderBy(pair => pair.First).ThenBy(pair => pair.Second)];
    }

    private static double Plan(Vector3D way) => (way.X * way.X) + (way.Y * way.Y);

    private static Vector3D[] GroundSamples(SightedFrame frame, HeightField surface)
    {
        List<Vector3D> found = [];
        for (int row = 0; row < Samples; row++)
        {
            for (int column = 0; column < Samples; column++)
            {
                PixelPoint pixel = new(
                    (column + 0.5) * frame.Lens.Columns / Samples,
                    (row + 0.5) * frame.Lens.Rows / Samples
                );
                if (SurfaceSight.TryHit(frame, pixel, surface, out Vector3D place))
                {
                    found.Add(place);
                }
            }
        }

        return [.. found];
    }

    private static double ShareSeen(Vector3D[] places, SightedFrame by, double margin)
    {
        int seen = places.Count(place =>
            by.Lens.TryProject(by.Pose.ToCamera(place), out PixelPoint pixel)
            && pixel.Column > -margin
            && pixel.Row > -margin
            && pixel.Column < by.Lens.Columns + margin
            && pixel.Row < by.Lens.Rows + margin
        );
        return seen / (double)(Samples * Samples);
    }
}
