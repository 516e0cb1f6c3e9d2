using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>
/// Second matching of a pair, when poses are good to some pixels: each feature is looked for along the line on which
/// the other capture must see it, within the heights the ground can have.
/// </summary>
internal sealed class GuidedPairMatch
{
    /// <summary>Squared ratio to the next best along the line; candidates are few, so it may be laxer than Lowe's.</summary>
    private const double LargestSquaredRatio = 0.72;

    /// <summary>Descriptors farther apart than this look different whatever the others do.</summary>
    private const int LargestSquaredDistance = 300 * 300;

    private const double BucketPixels = 24;

    private readonly SightedFrame[] frames;
    private readonly CaptureFeatures[] features;
    private readonly FeatureBuckets[] buckets;
    private readonly Vector3D[]?[] hits;
    private readonly double below;
    private readonly double above;
    private readonly double acrossPixels;
    private readonly double largestPixels;

    /// <param name="frames">As placed so far.</param>
    /// <param name="features">Of each capture.</param>
    /// <param name="surface">Smooth ground.</param>
    /// <param name="belowMetres">Lowest a spot may lie under it.</param>
    /// <param name="aboveMetres">Highest a spot may stand over it.</param>
    /// <param name="acrossPixels">Search half-width across the predicted line.</param>
    /// <param name="largestPixels">Features of larger diameter are too blurred to place a capture sharply.</param>
    /// <param name="wanted">Captures whose features will be matched.</param>
    /// <param name="options">Threads.</param>
    public GuidedPairMatch(
        SightedFrame[] frames,
        CaptureFeatures[] features,
        HeightField surface,
        double belowMetres,
        double aboveMetres,
        double acrossPixels,
        double largestPixels,
        IReadOnlyList<bool> wanted,
        ParallelOptions options
    )
    {
        this.frames = frames;
        this.features = features;
        below = belowMetres;
        above = aboveMetres;
        this.acrossPixels = acrossPixels;
        this.largestPixels = largestPixels;
        buckets = new FeatureBuckets[features.Length];
        hits = new Vector3D[]?[features.Length];
        Parallel.For(
            0,
            features.Length,
            options,
            index =>
            {
                buckets[index] = new FeatureBuckets(
                    features[index].Places,
                    frames[index].Lens.Rows,
                    frames[index].Lens.Columns,
                    BucketPixels
                );
                hits[index] = wanted[index] ? Hits(frames[index], features[index], surface) : null;
            }
        );
    }

    public IReadOnlyList<FeatureTie> Match(CapturePair pair)
    {
        int[] there = Nearest(pair.First, pair.Second);
        int[] back = Nearest(pair.Second, pair.First);
        List<FeatureTie> ties = [];
        for (int one = 0; one < there.Length; one++)
        {
            if (there[one] >= 0 && back[there[one]] == one)
            {
                ties.Add(new FeatureTie(one, there[one]));
            }
        }

        return ties;
    }

    /// <summary>For each feature of one capture its best in another, or −1.</summary>
    private int[] Nearest(int from, int to)
    {
        CaptureFeatures ours = features[from];
        CaptureFeatures theirs = features[to];
        Vector3D[] places = hits[from]!;
        int[] best = new int[ours.Count];
        List<int> near = [];
        for (int one = 0; one < best.Length; one++)
        {
            best[one] = -1;
            near.Clear();
            if (
                ours.Sizes[one] > largestPixels
                || double.IsNaN(places[one].X)
                || !TryPredict(frames[from], frames[to], places[one], -below, out PixelPoint low)
                || !TryPredict(frames[from], frames[to], places[one], above, out PixelPoint high)
            )
            {
                continue;
            }

            buckets[to]
                .Collect(
                    Math.Min(low.Column, high.Column) - acrossPixels,
                    Math.Max(low.Column, high.Column) + acrossPixels,
                    Math.Min(low.Row, high.Row) - acrossPixels,
                    Math.Max(low.Row, high.Row) + acrossPixels,
                    near
                );
            int nearest = int.MaxValue;
            int next = int.MaxValue;
            ReadOnlySpan<byte> descriptor = ours.Descriptor(one);
            foreach (int other in near)
            {
                if (theirs.Sizes[other] > largestPixels || FromSegment(theirs.Places[other], low, high) > acrossPixels)
                {
                    continue;
                }

                int distance = DescriptorDistance.Squared(descriptor, theirs.Descriptor(other));
                if (distance < nearest)
                {
                    // The same spot found at two scales or angles is no rival.
                    bool sameSpot = best[one] >= 0 && Apart(theirs.Places[other], theirs.Places[best[one]]) < 2;
                    next = sameSpot ? next : nearest;
                    (nearest, best[one]) = (distance, other);
                }
                else if (distance < next && Apart(theirs.Places[other], theirs.Places[best[one]]) >= 2)
                {
                    next = distance;
                }
            }

            if (nearest > LargestSquaredDistance || (next != int.MaxValue && nearest > LargestSquaredRatio * next))
            {
                best[one] = -1;
            }
        }

        return best;
    }

    /// <summary>Where the lines of sight of a capture's features meet the surface; NaN where they do not.</summary>
    private static Vector3D[] Hits(SightedFrame frame, CaptureFeatures features, HeightField surface)
    {
        Vector3D[] places = new Vector3D[features.Count];
        for (int index = 0; index < places.Length; index++)
        {
            places[index] = SurfaceSight.TryHit(frame, features.Places[index], surface, out Vector3D place)
                ? place
                : new Vector3D(double.NaN, double.NaN, double.NaN);
        }

        return places;
    }

    private static bool TryPredict(
        SightedFrame from,
        SightedFrame to,
        Vector3D place,
        double raised,
        out PixelPoint pixel
    ) =>
        to.Lens.TryProject(
            to.Pose.ToCamera(SurfaceSight.Raised(place, from.Pose.CentreLocalMetres, raised)),
            out pixel
        );

    private static double Apart(PixelPoint a, PixelPoint b) =>
        Math.Max(Math.Abs(a.Column - b.Column), Math.Abs(a.Row - b.Row));

    private static double FromSegment(PixelPoint place, PixelPoint start, PixelPoint end)
    {
        double alongColumn = end.Column - start.Column;
        double alongRow = end.Row - start.Row;
        double length = (alongColumn * alongColumn) + (alongRow * alongRow);
        double offColumn = place.Column - start.Column;
        double offRow = place.Row - start.Row;
        double share = length > 0 ? Math.Clamp(((offColumn * alongColumn) + (offRow * alongRow)) / length, 0, 1) : 0;
        offColumn -= share * alongColumn;
        offRow -= share * alongRow;
        return Math.Sqrt((offColumn * offColumn) + (offRow * offRow));
    }
}
