using Hillrow.Numerics;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Imaging.Tests;

public sealed class JpegPictureTests
{
    // Quality 95 quantises the gradients' few frequencies by some counts; chroma is halved as well.
    private const int GreyTolerance = 3;
    private const int ColourTolerance = 6;

    [Fact]
    public void Read_BaselineGrey_KeepsGradient()
    {
        using PictureFile file = PictureFile.Open(JpegSpecimen.Grey(), "a.jpg");
        Picture picture = file.Read();
        Assert.Equal((16, 24, 1, 8), (picture.Rows, picture.Columns, picture.Bands, picture.BitsPerSample));
        AssertNear(picture, 0, (row, column) => 30 + (5 * column) + (4 * row), GreyTolerance);
    }

    [Fact]
    public void Read_ProgressiveColours_HasRedFirst()
    {
        using PictureFile file = PictureFile.Open(JpegSpecimen.ProgressiveColours(), "a.jpg");
        Picture picture = file.Read();
        Assert.Equal(3, picture.Bands);
        AssertNear(picture, 0, (_, column) => 40 + (6 * column), ColourTolerance);
        AssertNear(picture, 1, (row, _) => 60 + (8 * row), ColourTolerance);
        AssertNear(picture, 2, (_, column) => 200 - (4 * column), ColourTolerance);
    }

    [Fact]
    public void Read_OrientationInExif_IsToldAndNotApplied()
    {
        TiffSpecimen exif = new(true, false);
        exif.AddPage().Short(274, 6);
        using PictureFile file = PictureFile.Open(
            JpegSpecimen.With(JpegSpecimen.Grey(), exif.ToBytes(), null),
            "a.jpg"
        );
        Assert.Equal(6, file.Pages[0].Orientation);
        AssertNear(file.Read(), 0, (row, column) => 30 + (5 * column) + (4 * row), GreyTolerance);
    }

    [Fact]
    public void Open_CutAtEveryLength_SaysSo()
    {
        byte[] whole = JpegSpecimen.ProgressiveColours();
        for (int length = 0; length < whole.Length; length++)
        {
            byte[] cut = whole[..length];
            InputProblemException fault = Assert.Throws<InputProblemException>(() => PictureFile.Open(cut, "cut.jpg"));
            Assert.StartsWith("cut.jpg: ", fault.Message, StringComparison.Ordinal);
        }
    }

    private static void AssertNear(Picture picture, int band, Func<int, int, int> truth, int tolerance)
    {
        ReadOnlySpan<ushort> counts = picture.Counts(band);
        for (int i = 0; i < counts.Length; i++)
        {
            int want = truth(i / picture.Columns, i % picture.Columns);
            Assert.InRange(counts[i], want - tolerance, want + tolerance);
        }
    }
}
