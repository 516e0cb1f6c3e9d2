using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Imaging.Tests;

[Collection("OpenCV")] // one native library, one setting of its threads
public sealed class VisionTests
{
    [Fact]
    public void Detect_OneAndTwoThreads_GiveTheSameBytes()
    {
        byte[] picture = Texture(200, 260, 0, 0);
        VisionLibrary.EnsureReady(1);
        PictureFeatures one = FeatureDetector.Detect(picture, 200, 260, new FeatureSettings());
        VisionLibrary.EnsureReady(2);
        PictureFeatures two = FeatureDetector.Detect(picture, 200, 260, new FeatureSettings());
        VisionLibrary.EnsureReady(1);
        Assert.True(one.Features.Count > 100);
        Assert.Equal(one.Features, two.Features);
        Assert.Equal(one.Descriptors, two.Descriptors);
    }

    [Fact]
    public void Match_MovedPicture_RecoversTheMoveInOurPixelConvention()
    {
        PictureFeatures first = FeatureDetector.Detect(Texture(200, 260, 0, 0), 200, 260, new FeatureSettings());
        PictureFeatures second = FeatureDetector.Detect(Texture(200, 260, 12, 31), 200, 260, new FeatureSettings());
        IReadOnlyList<FeatureMatch> matches = FeatureMatching.Match(first, second);
        Assert.True(matches.Count > 50);
        int right = matches.Count(match =>
        {
            PixelPoint a = first.Features[match.First].Place;
            PixelPoint b = second.Features[match.Second].Place;
            return Math.Abs(a.Column - b.Column - 31) < 0.3 && Math.Abs(a.Row - b.Row - 12) < 0.3;
        });
        Assert.True(right > 0.95 * matches.Count, $"{right} of {matches.Count}");
    }

    [Fact]
    public void Detect_SingleBlob_LiesOnItsCentre()
    {
        // A blob centred on the middle of pixel (row 40, column 60), which is (40.5, 60.5) in our convention.
        byte[] picture = new byte[90 * 120];
        for (int at = 0; at < picture.Length; at++)
        {
            double dr = (at / 120) - 40;
            double dc = (at % 120) - 60;
            picture[at] = (byte)(20 + (200 * Math.Exp(-((dr * dr) + (dc * dc)) / (2 * 5 * 5))));
        }

        PictureFeature blob = FeatureDetector.Detect(picture, 90, 120, new FeatureSettings(1)).Features[0];
        Assert.Equal(60.5, blob.Place.Column, 0.3);
        Assert.Equal(40.5, blob.Place.Row, 0.3);
    }

    [Fact]
    public void Match_NoFeatures_IsEmpty() =>
        Assert.Empty(FeatureMatching.Match(new PictureFeatures([], []), new PictureFeatures([], [])));

    [Fact]
    public void VisionRemap_AnyPlace_EqualsTheSampleToOneThirtySecondOfAPixel()
    {
        const int rows = 40;
        const int columns = 50;
        double[] picture = KernelTwinTests.Picture(rows, columns, 11);
        Random random = new(12);
        float[] atColumns =
        [
            .. Enumerable.Range(0, 20 * 30).Select(_ => (float)(1 + (random.NextDouble() * (columns - 2)))),
        ];
        float[] atRows = [.. Enumerable.Range(0, 20 * 30).Select(_ => (float)(1 + (random.NextDouble() * (rows - 2))))];
        float[] result = new float[20 * 30];
        VisionRemap.Apply(
            [.. picture.Select(value => (float)value)],
            rows,
            columns,
            atColumns,
            atRows,
            ResamplingMethod.Bilinear,
            -1,
            result,
            20,
            30
        );
        for (int at = 0; at < result.Length; at++)
        {
            double wanted = Resampling.Sample<double>(
                picture,
                rows,
                columns,
                new PixelPoint(atColumns[at], atRows[at]),
                ResamplingMethod.Bilinear
            );

            // Values differ by at most 1 between neighbours; places are rounded by at most 1/64 pixel each way.
            Assert.Equal(wanted, result[at], 2.0 / 64);
        }
    }

    [Theory]
    [InlineData(Connectivity.Four)]
    [InlineData(Connectivity.Eight)]
    public void Label_RandomMask_EqualsThePlainLabelling(Connectivity connectivity)
    {
        byte[] mask = [.. KernelTwinTests.Picture(60, 83, 13).Select(value => value > 0.45 ? (byte)1 : (byte)0)];
        int[] plain = new int[mask.Length];
        int[] fast = new int[mask.Length];
        Assert.Equal(
            Labelling.Label(mask, 60, 83, connectivity, plain),
            VisionRegions.Label(mask, 60, 83, connectivity, fast)
        );
        Assert.Equal(plain, fast);
    }

    [Fact]
    public void Distance_RandomMask_EqualsThePlainDistance()
    {
        byte[] mask = [.. KernelTwinTests.Picture(60, 83, 14).Select(value => value > 0.02 ? (byte)1 : (byte)0)];
        double[] plain = new double[mask.Length];
        float[] fast = new float[mask.Length];
        DistanceTransform.Euclidean(mask, 60, 83, plain);
        VisionRegions.Distance(mask, 60, 83, fast);
        for (int at = 0; at < mask.Length; at++)
        {
            Assert.Equal(plain[at], fast[at], 1e-4);
        }
    }

    [Fact]
    public void Watershed_TwoValleys_MeetOnTheRidge()
    {
        byte[] surface = new byte[21 * 41];
        int[] labels = new int[surface.Length];
        for (int at = 0; at < surface.Length; at++)
        {
            surface[at] = (byte)(200 - (8 * Math.Abs((at % 41) - 20)));
        }

        labels[(10 * 41) + 3] = 1;
        labels[(10 * 41) + 37] = 2;
        VisionRegions.Watershed(surface, 21, 41, labels);
        for (int column = 2; column < 39; column++)
        {
            int label = labels[(10 * 41) + column];
            Assert.True(label == (column < 20 ? 1 : 2) || Math.Abs(column - 20) <= 1, $"column {column}: {label}");
        }
    }

    [Fact]
    public void Missing_LoaderMessage_NamesTheLibrary() =>
        Assert.Equal(
            "libgtk-3.so.0 is missing",
            VisionLibrary.Missing(
                new TypeInitializationException(
                    "x",
                    new DllNotFoundException(
                        "Unable to load shared library\nlibgtk-3.so.0: cannot open shared object file: No such file or directory"
                    )
                )
            )
        );

    /// <summary>Smooth random ground, the same field looked at from another corner.</summary>
    private static byte[] Texture(int rows, int columns, int rowOffset, int columnOffset)
    {
        const int wide = 400;
        double[] noise = KernelTwinTests.Picture(wide, wide, 10);
        double[] smooth = new double[noise.Length];
        GaussianFilter.Smooth<double>(noise, wide, wide, 2, Border.Wrap, smooth);
        double low = smooth.Min();
        double high = smooth.Max();
        byte[] picture = new byte[rows * columns];
        for (int at = 0; at < picture.Length; at++)
        {
            int from = (((at / columns) + rowOffset) * wide) + (at % columns) + columnOffset;
            picture[at] = (byte)((smooth[from] - low) / (high - low) * 255);
        }

        return picture;
    }
}
