using Hillrow.Imaging;

namespace Hillrow.Reconstruction;

/// <summary>Matches two captures of which nothing is known but their pictures.</summary>
internal static class LookMatch
{
    /// <summary>Squared ratio of best to next best distance (0.8²; Lowe 2004).</summary>
    private const double LargestSquaredRatio = 0.64;

    /// <summary>A line's distance; lenses are off their profile by some pixels before they are solved.</summary>
    private const double LinePixels = 5;

    /// <summary>Among many wrong ties this many fall on their lines by chance.</summary>
    private const int LeastAgreeing = 24;

    private const double LeastAgreeingShare = 0.3;

    /// <summary>Ties that look alike, and choose each other, among the strongest features.</summary>
    public static List<FeatureTie> Alike(CaptureFeatures first, CaptureFeatures second, int strongest)
    {
        int firstCount = Math.Min(strongest, first.Count);
        int secondCount = Math.Min(strongest, second.Count);
        if (firstCount < 2 || secondCount < 2)
        {
            return [];
        }

        int[] best = new int[firstCount];
        int[] nearest = new int[firstCount];
        int[] next = new int[firstCount];
        int[] back = new int[secondCount];
        int[] backDistance = new int[secondCount];
        Array.Fill(backDistance, int.MaxValue);
        for (int one = 0; one < firstCount; one++)
        {
            ReadOnlySpan<byte> descriptor = first.Descriptor(one);
            int least = int.MaxValue;
            int runnerUp = int.MaxValue;
            for (int other = 0; other < secondCount; other++)
            {
                int distance = DescriptorDistance.Squared(descriptor, second.Descriptor(other));
                if (distance < least)
                {
                    (runnerUp, least, best[one]) = (least, distance, other);
                }
                else if (distance < runnerUp)
                {
                    runnerUp = distance;
                }

                if (distance < backDistance[other])
                {
                    (backDistance[other], back[other]) = (distance, one);
                }
            }

            (nearest[one], next[one]) = (least, runnerUp);
        }

        List<FeatureTie> ties = [];
        for (int one = 0; one < firstCount; one++)
        {
            if (nearest[one] <= LargestSquaredRatio * next[one] && back[best[one]] == one)
            {
                ties.Add(new FeatureTie(one, best[one]));
            }
        }

        return ties;
    }

    /// <summary>The ties that two cameras can have seen; empty when too few agree.</summary>
    public static (IReadOnlyList<FeatureTie> Ties, RelativePose? Pose) Verified(
        CaptureFeatures first,
        CaptureFeatures second,
        Lens lens,
        int strongest
    )
    {
        List<FeatureTie> alike = Alike(first, second, strongest);
        List<FeatureTie> ties = [];
        List<PixelPoint> here = [];
        List<PixelPoint> there = [];
        foreach (FeatureTie tie in alike)
        {
            if (
                UnitPlace.TryOf(lens, first.Places[tie.First], out PixelPoint a)
                && UnitPlace.TryOf(lens, second.Places[tie.Second], out PixelPoint b)
            )
            {
                ties.Add(tie);
                here.Add(a);
                there.Add(b);
            }
        }

        if (
            ties.Count < LeastAgreeing
            || VisionPoses.Relative(here, there, LinePixels / lens.Parameters[0]) is not { } pose
        )
        {
            return ([], null);
        }

        int agreeing = pose.Agrees.Count(entry => entry);
        return agreeing >= Math.Max(LeastAgreeing, LeastAgreeingShare * ties.Count)
            ? ([.. ties.Where((_, index) => pose.Agrees[index])], pose)
            : ([], null);
    }
}
