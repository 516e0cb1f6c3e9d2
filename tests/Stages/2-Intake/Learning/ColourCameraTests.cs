using System.Globalization;
using Hillrow.Imaging;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Intake.Tests;

/// <summary>A colour camera's JPEG pictures: learned, read back, split into red, green and blue.</summary>
public sealed class ColourCameraTests : IDisposable
{
    private const int Pictures = 14;

    private readonly TestFolder folder = new();

    public ColourCameraTests()
    {
        for (int picture = 0; picture < Pictures; picture++)
        {
            string xmp = string.Create(
                CultureInfo.InvariantCulture,
                $"""
                <x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
                <rdf:Description xmlns:q="urn:q" q:Latitude="{-12.5 + (0.0001 * picture)}" q:Longitude="-69.2"
                 q:Height="{1500 + (picture % 3)}" q:Yaw="0" q:Pitch="0" q:Roll="1" q:ExposureSeconds="{0.001
                    * (1 + (picture % 2))}"
                 q:CaptureTime="2026-03-14T10:00:{2 * picture:00}Z"/></rdf:RDF></x:xmpmeta>
                """
            );
            File.WriteAllBytes(
                folder.At($"P{picture:000}.jpg"),
                JpegSpecimen.With(JpegSpecimen.ProgressiveColours(), null, xmp)
            );
        }
    }

    public void Dispose() => folder.Dispose();

    [Fact]
    public void Run_ColourPictures_ReadBackWholeWithTheCaveatTold()
    {
        LearnedCamera learned = CameraLearning.Run(
            folder.Path,
            LearningAnswers.None,
            TestContext.Current.CancellationToken
        );
        Assert.True(learned.Profile.IsColour);
        Assert.Equal(["red", "green", "blue"], learned.Profile.Bands.Select(band => band.Name));
        Assert.Contains(learned.Doubts, doubt => doubt.What.Contains("not reflectance", StringComparison.Ordinal));
        Assert.Equal((Pictures, Pictures), (learned.Check.Captures, learned.Check.Complete));
        Assert.DoesNotContain(learned.Doubts, doubt => doubt.About == "check");
        CameraProfile read = CameraProfile.Parse(learned.Profile.ToToml(), "test");
        Assert.Equal([0, 1, 2], read.Bands.Select(band => band.Plane ?? -1));
        Assert.Equal(255, read.Bands[0].Response!.LinearOf(255), 3);
        // The middle of the sRGB code is about a fifth of the light.
        Assert.Equal(0.2122 * 255, read.Bands[0].Response!.LinearOf(127), 0.5);
    }

    [Fact]
    public void Intake_ColourPictures_EachBandIsItsOwnPlane()
    {
        CameraProfile profile = CameraLearning
            .Run(folder.Path, LearningAnswers.None, TestContext.Current.CancellationToken)
            .Profile;
        IntakeResult intake = IntakeStage.Run(
            IntakeInput.OfFolder(folder.Path, profile),
            IntakeSettings.Default,
            cancel: TestContext.Current.CancellationToken
        );
        Assert.Equal(Pictures, intake.Captures.Count);
        Capture first = intake.Captures[0].Capture;
        Assert.Equal([0, 1, 2], first.Frames.Select(frame => frame.Plane));
        Assert.Single(first.Frames.Select(frame => frame.File).Distinct());
        // Red grows by 6 a column, green by 8 a row, blue falls by 4 a column; JPEG moves them by a few counts.
        using PictureFile file = PictureFile.Open(folder.At(first.Frames[0].File));
        ushort[] counts = new ushort[JpegSpecimen.Rows * JpegSpecimen.Columns];
        int[] wanted = [40 + (6 * 12), 60 + (8 * 5), 200 - (4 * 12)];
        foreach (BandFrame frame in first.Frames)
        {
            file.ReadPlane(frame.Page, frame.Plane, counts);
            Assert.InRange(counts[(5 * JpegSpecimen.Columns) + 12], wanted[frame.Plane] - 8, wanted[frame.Plane] + 8);
        }
    }

    [Fact]
    public void Intake_SamePictureTwice_IsCountedOnceAndToldOnce()
    {
        CameraProfile profile = CameraLearning
            .Run(folder.Path, LearningAnswers.None, TestContext.Current.CancellationToken)
            .Profile;
        Directory.CreateDirectory(folder.At("again"));
        File.Copy(folder.At("P003.jpg"), folder.At("again/P003.jpg"));
        IntakeResult intake = IntakeStage.Run(
            IntakeInput.OfFolder(folder.Path, profile),
            IntakeSettings.Default,
            cancel: TestContext.Current.CancellationToken
        );
        Assert.Equal(Pictures, intake.Captures.Count);
        Assert.Equal(1, intake.Counts.Copies);
    }
}
