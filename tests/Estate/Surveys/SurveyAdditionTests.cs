using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class SurveyAdditionTests : IDisposable
{
    private static readonly SurveyWishes OnTheFourteenth = new(new DateOnly(2026, 3, 14));

    private readonly ScratchEstate scratch = new();

    public SurveyAdditionTests()
    {
        File.WriteAllText(
            Path.Combine(scratch.Estate.CamerasFolder, "own.toml"),
            "name = \"not read when a day is given\""
        );
    }

    public void Dispose() => scratch.Dispose();

    [Fact]
    public void Add_TwoCards_CopiesBothAndKeepsTheFolderTrees()
    {
        string first = Card("one", ("a/0001.tif", "1"), ("a/0002.tif", "2"));
        string second = Card("two", ("0003.tif", "3"));
        SurveyAdded added = SurveyAddition.Add(scratch.Estate, [first, second], OnTheFourteenth);
        Assert.Equal("2026-03-14", added.Survey.Id);
        Assert.Equal(3, added.Files);
        Assert.Equal("2", File.ReadAllText(Path.Combine(added.Survey.Captures, "card-1", "a", "0002.tif")));
        Assert.Equal("3", File.ReadAllText(Path.Combine(added.Survey.Captures, "card-2", "0003.tif")));
        Assert.Equal("cameras/own.toml", SurveyToml.Read(added.Survey.SettingsFile).Camera);
    }

    [Fact]
    public void Add_SameCardTwiceInOneCall_TakesItOnceAndSaysSo()
    {
        string first = Card("one", ("0001.tif", "1"), ("0002.tif", "2"));
        string copy = Card("copy", ("0001.tif", "1"), ("0002.tif", "2"));
        SurveyAdded added = SurveyAddition.Add(scratch.Estate, [first, copy], OnTheFourteenth);
        Assert.Equal(2, added.Files);
        Assert.Contains(copy, Assert.Single(added.Told), StringComparison.Ordinal);
    }

    [Fact]
    public void Add_CardThatIsASurveyAlready_IsRefusedWithItsId()
    {
        string card = Card("one", ("0001.tif", "1"));
        SurveyAddition.Add(scratch.Estate, [card], OnTheFourteenth);
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            SurveyAddition.Add(scratch.Estate, [card], new SurveyWishes(new DateOnly(2026, 4, 1)))
        );
        Assert.Contains("2026-03-14", problem.Message, StringComparison.Ordinal);
        Assert.Single(scratch.Estate.Surveys());
    }

    [Fact]
    public void Add_OtherContentUnderTheSameNames_IsAnotherSurvey()
    {
        SurveyAddition.Add(scratch.Estate, [Card("one", ("0001.tif", "1"))], OnTheFourteenth);
        SurveyAdded other = SurveyAddition.Add(
            scratch.Estate,
            [Card("two", ("0001.tif", "2"))],
            OnTheFourteenth with
            {
                Name = "afternoon",
            }
        );
        Assert.Equal("2026-03-14-afternoon", other.Survey.Id);
    }

    [Fact]
    public void Add_DayTaken_AsksForAName()
    {
        SurveyAddition.Add(scratch.Estate, [Card("one", ("0001.tif", "1"))], OnTheFourteenth);
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            SurveyAddition.Add(scratch.Estate, [Card("two", ("0001.tif", "2"))], OnTheFourteenth)
        );
        Assert.Contains("--name", problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Add_Link_LeavesTheFilesOnTheCard()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Links need rights of their own there.");
        string card = Card("one", ("0001.tif", "1"));
        SurveyAdded added = SurveyAddition.Add(scratch.Estate, [card], OnTheFourteenth with { Link = true });
        string link = Path.Combine(added.Survey.Captures, "card-1");
        Assert.Equal(card, new DirectoryInfo(link).LinkTarget);
        Assert.Equal("1", File.ReadAllText(Path.Combine(link, "0001.tif")));
    }

    [Fact]
    public void Add_AfterAnAttemptCutShort_LeavesNothingOfIt()
    {
        SurveyFolder torn = scratch.Estate.AddSurvey("2026-03-14");
        Directory.CreateDirectory(Path.Combine(torn.Captures, "card-7"));
        File.WriteAllText(Path.Combine(torn.Captures, "card-7", "half.tif"), "ha");
        Assert.Empty(RunOrder.Of(scratch.Estate));
        SurveyAdded added = SurveyAddition.Add(scratch.Estate, [Card("one", ("0001.tif", "1"))], OnTheFourteenth);
        Assert.Equal(
            ["card-1"],
            Directory.GetDirectories(added.Survey.Captures).Select(path => Path.GetFileName(path))
        );
    }

    [Fact]
    public void Add_Cancelled_LeavesNoSurvey()
    {
        using CancellationTokenSource stop = new();
        stop.Cancel();
        Assert.ThrowsAny<OperationCanceledException>(() =>
            SurveyAddition.Add(scratch.Estate, [Card("one", ("0001.tif", "1"))], OnTheFourteenth, null, stop.Token)
        );
        Assert.Empty(RunOrder.Of(scratch.Estate));
        Assert.DoesNotContain(scratch.Estate.Surveys(), survey => File.Exists(survey.SettingsFile));
    }

    [Theory]
    [InlineData("nowhere", "does not exist")]
    [InlineData("empty", "has no picture in it")]
    public void Add_NoCard_IsRefusedWithARemedy(string name, string words)
    {
        Directory.CreateDirectory(Path.Combine(scratch.Folder, "empty"));
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            SurveyAddition.Add(scratch.Estate, [Path.Combine(scratch.Folder, name)], OnTheFourteenth)
        );
        Assert.Contains(words, problem.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("", "does not name the camera")]
    [InlineData("camera = 3", "does not name the camera")]
    [InlineData("camera = \"a\"\nlens = 1", "does not know \"lens\"")]
    [InlineData("camera = ", "is not valid TOML")]
    [InlineData("camera = \"a\"\n[air]\ntemperature_celsius = 24", "does not tell the air")]
    [InlineData("camera = \"a\"\n[air]\ntemperature_celsius = 240\nhumidity_percent = 50", "out of range")]
    public void SurveyToml_Wrong_IsToldInOneLine(string text, string words)
    {
        string file = scratch.File("survey.toml", text);
        InputProblemException problem = Assert.Throws<InputProblemException>(() => SurveyToml.Read(file));
        Assert.Contains(words, problem.Message, StringComparison.Ordinal);
        Assert.DoesNotContain('\n', problem.Message);
    }

    [Fact]
    public void SurveyToml_WithAir_ReadsWhatWasWritten()
    {
        string file = scratch.File(
            "survey.toml",
            SurveyToml.Write(new SurveySettings("cameras/a.toml", null, new AirReadings(24.5, 63)))
        );
        SurveySettings read = SurveyToml.Read(file);
        Assert.Equal("cameras/a.toml", read.Camera);
        Assert.Equal(new AirReadings(24.5, 63), read.Air);
        Assert.Null(
            SurveyToml.Read(scratch.File("b.toml", SurveyToml.Write(new SurveySettings("cameras/a.toml")))).Air
        );
    }

    private string Card(string name, params (string File, string Text)[] files)
    {
        string folder = Path.Combine(scratch.Folder, name);
        foreach ((string file, string text) in files)
        {
            string path = Path.Combine(folder, file);
            Directory.CreateDirectory(Path.GetDirectoryName(path)!);
            File.WriteAllText(path, text);
        }

        return folder;
    }
}
