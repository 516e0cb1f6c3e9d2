using OpenCvSharp;
using OpenCvSharp.Features2D;

namespace Hillrow.Imaging;

/// <summary>How features are looked for.</summary>
/// <param name="LargestCount">The most distinct ones kept; 0 keeps all.</param>
/// <param name="ContrastThreshold">Weaker spots are dropped. 0.04 is the method's own; evenly leafy ground needs less.</param>
/// <param name="EdgeThreshold">Spots more drawn out than this are dropped.</param>
/// <param name="SigmaPixels">Smoothing of the input.</param>
public sealed record FeatureSettings(
    int LargestCount = 4000,
    double ContrastThreshold = 0.02,
    double EdgeThreshold = 10,
    double SigmaPixels = 1.6
);

/// <summary>Scale-invariant features (D. G. Lowe 2004, doi 10.1023/B:VISI.0000029664.99615.94), by OpenCV.</summary>
/// <remarks>The same picture gives the same bytes, whatever the number of threads.</remarks>
public static class FeatureDetector
{
    /// <param name="grey">Rows × columns, 8 bit: stretch 16-bit frames first.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="settings">How.</param>
    /// <param name="mask">Where to look (not 0); empty: everywhere.</param>
    public static unsafe PictureFeatures Detect(
        ReadOnlySpan<byte> grey,
        int rows,
        int columns,
        FeatureSettings settings,
        ReadOnlySpan<byte> mask = default
    )
    {
        Shapes.Check(grey, rows, columns);
        if (!mask.IsEmpty)
        {
            Shapes.Check(mask, rows, columns);
        }

        VisionLibrary.EnsureReady();
        fixed (byte* pixels = grey)
        fixed (byte* allowed = mask)
        {
            using Mat picture = Mat.FromPixelData(rows, columns, MatType.CV_8UC1, (nint)pixels);
            using Mat? where = mask.IsEmpty ? null : Mat.FromPixelData(rows, columns, MatType.CV_8UC1, (nint)allowed);
            using SIFT detector = SIFT.Create(
                settings.LargestCount,
                3,
                settings.ContrastThreshold,
                settings.EdgeThreshold,
                settings.SigmaPixels
            );
            using Mat descriptors = new();
            detector.DetectAndCompute(
                picture,
                where is null ? null : (InputArray)where,
                out KeyPoint[] points,
                descriptors
            );
            return Ordered(points, descriptors);
        }
    }

    /// <summary>Most distinct first, then by place: the order OpenCV leaves them in is its own affair.</summary>
    private static PictureFeatures Ordered(KeyPoint[] points, Mat descriptors)
    {
        int[] order = new int[points.Length];
        for (int index = 0; index < order.Length; index++)
        {
            order[index] = index;
        }

        Array.Sort(
            order,
            (a, b) =>
            {
                (KeyPoint one, KeyPoint other) = (points[a], points[b]);
                int by = other.Response.CompareTo(one.Response);
                by = by != 0 ? by : one.Pt.Y.CompareTo(other.Pt.Y);
                by = by != 0 ? by : one.Pt.X.CompareTo(other.Pt.X);
                by = by != 0 ? by : one.Angle.CompareTo(other.Angle);
                return by != 0 ? by : a.CompareTo(b);
            }
        );
        PictureFeature[] features = new PictureFeature[points.Length];
        byte[] bytes = new byte[points.Length * PictureFeatures.DescriptorLength];
        for (int index = 0; index < order.Length; index++)
        {
            KeyPoint point = points[order[index]];
            features[index] = new PictureFeature(
                new PixelPoint(point.Pt.X + 0.5, point.Pt.Y + 0.5),
                point.Size,
                point.Angle,
                point.Response
            );

            // Descriptor values are whole numbers from 0 to 255 stored as float.
            ReadOnlySpan<float> values = descriptors.RowSpan<float>(order[index]);
            Span<byte> into = bytes.AsSpan(index * PictureFeatures.DescriptorLength, PictureFeatures.DescriptorLength);
            for (int k = 0; k < into.Length; k++)
            {
                into[k] = (byte)values[k];
            }
        }

        return new PictureFeatures(features, bytes);
    }
}
