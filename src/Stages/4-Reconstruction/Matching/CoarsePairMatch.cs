using Hillrow.Imaging;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>
/// First matching of a pair, when poses may be off by metres and degrees: the strongest features against each other
/// anywhere, then an agreement on how the second picture is moved against its prediction.
/// </summary>
internal static class CoarsePairMatch
{
    private const int StrongestUsed = 900;

    /// <summary>Squared ratio of best to next best distance (0.8²; Lowe 2004).</summary>
    private const double LargestSquaredRatio = 0.64;

    /// <summary>Relief that the prediction does not know moves features by some pixels of parallax.</summary>
    private const double AgreementPixels = 14;

    private const int LeastTies = 10;

    /// <summary>Ties that agree; empty when too few do.</summary>
    public static IReadOnlyList<FeatureTie> Match(
        CaptureFeatures first,
        CaptureFeatures second,
        SightedFrame firstFrame,
        SightedFrame secondFrame,
        HeightField surface,
        ulong seed
    )
    {
        int firstCount = Math.Min(StrongestUsed, first.Count);
        int secondCount = Math.Min(StrongestUsed, second.Count);
        if (firstCount < LeastTies || secondCount < LeastTies)
        {
            return [];
        }

        int[] best = new int[firstCount];
        int[] nearest = new int[firstCount];
        int[] next = new int[firstCount];
        int[] back = new int[secondCount];
        int[] backDistance = new int[secondCount];
        Array.Fill(nearest, int.MaxValue);
        Array.Fill(next, int.MaxValue);
        Array.Fill(backDistance, int.MaxValue);
        for (int one = 0; one < firstCount; one++)
        {
            ReadOnlySpan<byte> descriptor = first.Descriptor(one);
            for (int other = 0; other < secondCount; other++)
            {
                int distance = DescriptorDistance.Squared(descriptor, second.Descriptor(other));
                if (distance < nearest[one])
                {
                    (next[one], nearest[one], best[one]) = (nearest[one], distance, other);
                }
                else if (distance < next[one])
                {
                    next[one] = distance;
                }

                if (distance < backDistance[other])
                {
                    (backDistance[other], back[other]) = (distance, one);
                }
            }
        }

        List<FeatureTie> ties = [];
        List<PlaneMove.Pair> moves = [];
        for (int one = 0; one < firstCount; one++)
        {
            if (
                nearest[one] <= LargestSquaredRatio * next[one]
                && back[best[one]] == one
                && SurfaceSight.TryHit(firstFrame, first.Places[one], surface, out Numerics.Vector3D place)
                && secondFrame.Lens.TryProject(secondFrame.Pose.ToCamera(place), out PixelPoint predicted)
            )
            {
                ties.Add(new FeatureTie(one, best[one]));
                moves.Add(new PlaneMove.Pair(predicted, second.Places[best[one]]));
            }
        }

        bool[] agrees = PlaneMove.Agreement([.. moves], AgreementPixels, LeastTies, seed);
        return [.. ties.Where((_, index) => agrees[index])];
    }
}
