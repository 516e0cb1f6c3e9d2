using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Intake.Tests;

/// <summary>A lens from files: what fits is used, what does not is left out and told.</summary>
public sealed class LensLearningTests
{
    private static readonly BoardSpecimen Truth = new();
    private static readonly ChessBoard Board = new(Truth.CornersAcross, Truth.CornersDown, 25);

    [Fact]
    public void Run_FolderOfPictures_GivesTheLensAndItsSigmas()
    {
        using TestFolder folder = Folder();
        LearnedLens lens = LensLearning.Run([folder.Path], Board);
        Assert.Equal(BoardSpecimen.Round.Count, lens.Used);
        Assert.True(lens.RmsPixels < 0.1, $"{lens.RmsPixels} px");
        Assert.InRange(lens.Lens.Values.FocalColumnsPixels - Truth.Focal, -5 * lens.Sigmas[0], 5 * lens.Sigmas[0]);
        Assert.InRange(lens.Sigmas[0] / Truth.Focal, 0, 0.003);
        Assert.InRange(lens.ReachShare, 0.5, 1);
    }

    [Fact]
    public void Run_PictureOfAnotherLens_IsLeftOutAndTold()
    {
        using TestFolder folder = Folder();
        BoardSpecimen other = Truth with { K1 = 0.25, K2 = 0.3, Focal = 380 };
        File.WriteAllBytes(folder.At("z-other.tif"), other.Tiff(BoardSpecimen.Round[1]));
        LearnedLens lens = LensLearning.Run([folder.Path], Board);
        LensPicture left = Assert.Single(lens.Pictures, picture => picture.Why is not null);
        Assert.EndsWith("z-other.tif", left.File);
        Assert.True(lens.RmsPixels < 0.1, $"{lens.RmsPixels} px");
    }

    [Fact]
    public void Run_DamagedAndEmptyPictures_AreToldAndTheRestIsUsed()
    {
        using TestFolder folder = Folder();
        File.WriteAllBytes(folder.At("a-damaged.tif"), [.. "II*\0 nothing"u8]);
        File.WriteAllBytes(folder.At("b-empty.tif"), (Truth with { CornersAcross = 3 }).Tiff(BoardSpecimen.Round[0]));
        LearnedLens lens = LensLearning.Run([folder.Path], Board);
        Assert.Equal(BoardSpecimen.Round.Count, lens.Used);
        Assert.Equal(2, lens.Pictures.Count(picture => picture.Why is not null));
    }

    [Fact]
    public void Run_TooFewBoards_SaysWhatToDo()
    {
        using TestFolder folder = new();
        File.WriteAllBytes(folder.At("one.tif"), Truth.Tiff(BoardSpecimen.Round[0]));
        InputProblemException fault = Assert.Throws<InputProblemException>(() =>
            LensLearning.Run([folder.Path], Board)
        );
        Assert.Contains("1 of 1", fault.Message, StringComparison.Ordinal);
        Assert.Contains("--corners", fault.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Run_PicturesOfTwoSizes_AreRefused()
    {
        using TestFolder folder = Folder();
        File.WriteAllBytes(folder.At("z-small.tif"), (Truth with { Rows = 300 }).Tiff(BoardSpecimen.Round[0]));
        InputProblemException fault = Assert.Throws<InputProblemException>(() =>
            LensLearning.Run([folder.Path], Board)
        );
        Assert.Contains("z-small.tif", fault.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void ToToml_ReadsBackAsTheSameLens()
    {
        using TestFolder folder = Folder();
        LearnedLens learned = LensLearning.Run([folder.Path], Board);
        string profile = $"""
            name = "Invented"
            referenceBand = "red"
            shortestTriggerIntervalSeconds = 1.0

            [[bands]]
            name = "red"
            centreNanometres = 668.0
            widthNanometres = 14.0

            [bands.sensor]
            columns = {Truth.Columns}
            rows = {Truth.Rows}
            pixelPitchMicrometres = 3.0
            bitDepth = 8

            {learned.ToToml()}
            """;
        Assert.Equal(
            learned.Lens.Values,
            ((BrownConradyLens)CameraProfile.Parse(profile, "profile").Band("red").Lens).Values
        );
    }

    private static TestFolder Folder()
    {
        TestFolder folder = new();
        for (int view = 0; view < BoardSpecimen.Round.Count; view++)
        {
            File.WriteAllBytes(folder.At($"board-{view}.tif"), Truth.Tiff(BoardSpecimen.Round[view]));
        }

        return folder;
    }
}
