using OpenCvSharp;

namespace Hillrow.Imaging;

/// <summary>Two features that look alike.</summary>
/// <param name="First">Number in the first picture.</param>
/// <param name="Second">Number in the second picture.</param>
/// <param name="Distance">Between the descriptors.</param>
/// <param name="Ratio">Distance over the distance to the next best; smaller is surer, 1 when there is no next best.</param>
public readonly record struct FeatureMatch(int First, int Second, float Distance, float Ratio);

/// <summary>Finds features of two pictures that look alike, every one against every one.</summary>
public static class FeatureMatching
{
    /// <summary>Best match of each feature of the first picture, in their order.</summary>
    /// <param name="first">Of the first picture.</param>
    /// <param name="second">Of the second picture.</param>
    /// <param name="largestRatio">Matches whose next best is nearly as near are dropped (Lowe 2004); 1 keeps all.</param>
    /// <param name="mutual">Keep only pairs that choose each other.</param>
    public static IReadOnlyList<FeatureMatch> Match(
        PictureFeatures first,
        PictureFeatures second,
        double largestRatio = 0.8,
        bool mutual = true
    )
    {
        if (first.Features.Count == 0 || second.Features.Count == 0)
        {
            return [];
        }

        VisionLibrary.EnsureReady();
        FeatureMatch[] there = Nearest(first, second);
        FeatureMatch[] back = mutual ? Nearest(second, first) : [];
        return
        [
            .. there.Where(match =>
                match.Ratio <= largestRatio && (!mutual || back[match.Second].Second == match.First)
            ),
        ];
    }

    private static FeatureMatch[] Nearest(PictureFeatures from, PictureFeatures to)
    {
        using Mat query = Descriptors(from);
        using Mat train = Descriptors(to);
        using BFMatcher matcher = new(NormTypes.L2);
        DMatch[][] found = matcher.KnnMatch(query, train, 2);
        FeatureMatch[] nearest = new FeatureMatch[from.Features.Count];
        for (int index = 0; index < nearest.Length; index++)
        {
            DMatch best = found[index][0];
            bool hasNext = found[index].Length > 1 && found[index][1].Distance > 0;
            nearest[index] = new FeatureMatch(
                index,
                best.TrainIdx,
                best.Distance,
                hasNext ? best.Distance / found[index][1].Distance : 1
            );
        }

        return nearest;
    }

    private static Mat Descriptors(PictureFeatures features)
    {
        float[] values = new float[features.Descriptors.Length];
        for (int index = 0; index < values.Length; index++)
        {
            values[index] = features.Descriptors[index];
        }

        return Mat.FromPixelData(features.Features.Count, PictureFeatures.DescriptorLength, MatType.CV_32FC1, values);
    }
}
