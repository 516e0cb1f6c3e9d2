using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class EarlierTiesTests
{
    private const int Spots = 3000;

    private static readonly LocalFrame Frame = new(GeodeticPosition.FromDegrees(-14.2, -57.5, 1200));

    [Fact]
    public void Agreement_OneSpotInFiveFoundAgain_FindsTheMove()
    {
        SimilarityMove truth = new(
            Vector3D.Zero,
            new Vector3D(3.1, -2.2, 4.0),
            Matrix3D.FromRotationVector(new Vector3D(0.004, -0.006, 0.005)),
            1.004
        );
        (Landmarks earlier, Vector3D[] points, byte[][] looks) = Survey(truth, share: 0.2);
        SimilarityMove? found = new EarlierTies([earlier], Frame).Agreement(points, point => looks[point], 6.4);
        Assert.NotNull(found);
        for (int point = 0; point < points.Length; point += 97)
        {
            Assert.InRange((found.Of(points[point]) - truth.Of(points[point])).Length, 0, 0.02);
        }
    }

    [Fact]
    public void Agreement_NothingFoundAgain_IsNull()
    {
        (Landmarks earlier, Vector3D[] points, byte[][] looks) = Survey(SimilarityMove.None, share: 0);
        Assert.Null(new EarlierTies([earlier], Frame).Agreement(points, point => looks[point], 6.4));
    }

    [Fact]
    public void FromBytes_OfToBytes_IsTheSame()
    {
        (Landmarks earlier, _, _) = Survey(SimilarityMove.None, share: 1);
        Landmarks again = Landmarks.FromBytes(earlier.ToBytes(), "landmarks.bin");
        Assert.Equal(earlier.Count, again.Count);
        Assert.Equal(earlier.OnControl, again.OnControl);
        Assert.InRange((again.Frame.ToLocal(Frame.ToGeodetic(Vector3D.Zero))).Length, 0, 1e-6);
        for (int index = 0; index < again.Count; index += 101)
        {
            Assert.Equal(earlier.PlaceOf(index), again.PlaceOf(index));
            Assert.True(earlier.DescriptorOf(index).SequenceEqual(again.DescriptorOf(index)));
        }
    }

    [Theory]
    [InlineData(0)]
    [InlineData(7)]
    [InlineData(39)]
    [InlineData(1000)]
    public void FromBytes_CutShort_SaysWhichFile(int length)
    {
        (Landmarks earlier, _, _) = Survey(SimilarityMove.None, share: 1);
        byte[] cut = earlier.ToBytes()[..length];
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            Landmarks.FromBytes(cut, "landmarks.bin")
        );
        Assert.Contains("landmarks.bin", problem.Message, StringComparison.Ordinal);
    }

    /// <summary>Spots on a slope of 100 m; the later survey sees a share of them again, moved, each off by centimetres.</summary>
    private static (Landmarks Earlier, Vector3D[] Points, byte[][] Looks) Survey(SimilarityMove truth, double share)
    {
        SplittableRandom draw = new(4);
        Vector3D[] places = new Vector3D[Spots];
        byte[] descriptors = new byte[Spots * PictureFeatures.DescriptorLength];
        Vector3D[] points = new Vector3D[Spots];
        byte[][] looks = new byte[Spots][];
        for (int index = 0; index < Spots; index++)
        {
            Vector3D point = new(draw.NextDouble(-50, 50), draw.NextDouble(-50, 50), 0);
            points[index] = point + new Vector3D(0, 0, 0.25 * point.Y);
            looks[index] = Look(draw);
            bool again = draw.NextDouble() < share;
            Vector3D noise = new(0.03 * draw.NextGaussian(), 0.03 * draw.NextGaussian(), 0.05 * draw.NextGaussian());
            places[index] = again
                ? truth.Of(points[index]) + noise
                : new Vector3D(draw.NextDouble(-50, 50), draw.NextDouble(-50, 50), draw.NextDouble(-12, 12));
            byte[] earlier = again
                ? [.. looks[index].Select(value => (byte)(value ^ (draw.NextInt32(16))))]
                : Look(draw);
            earlier.CopyTo(descriptors, index * PictureFeatures.DescriptorLength);
        }

        return (new Landmarks(Frame, places, descriptors, onControl: true), points, looks);
    }

    private static byte[] Look(SplittableRandom draw) =>
        [.. Enumerable.Range(0, PictureFeatures.DescriptorLength).Select(_ => (byte)draw.NextInt32(150))];
}
