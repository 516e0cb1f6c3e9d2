using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Rehearsal;
using Xunit;

namespace Hillrow.Estate.Tests;

/// <summary>Cards brought with a look at every file: once, again, grown, cut short.</summary>
public sealed class CardIntakeTests : IDisposable
{
    private static readonly SurveyWishes Looking = new(new DateOnly(2026, 3, 14)) { Look = true };

    private readonly ScratchEstate scratch = new();

    public CardIntakeTests()
    {
        File.WriteAllText(
            Path.Combine(scratch.Estate.CamerasFolder, "own.toml"),
            NominalProfile.Of(TrueRig.Build(1), CardDialect.All[0], PanelBoard.Build(1, Vector3D.Zero), 96, 64).ToToml()
        );
    }

    public void Dispose() => scratch.Dispose();

    [Fact]
    public void Add_SameCardTwice_AddsNothingAndSaysSo()
    {
        string card = Card("one", ("a/0001.tif", "1"), ("a/0002.tif", "2"));
        SurveyAdded first = SurveyAddition.Add(scratch.Estate, [card], Looking);
        Assert.Equal(2, first.Readings.Count);
        SurveyAdded second = SurveyAddition.Add(scratch.Estate, [card], Looking);
        Assert.Equal(0, second.Files);
        Assert.Equal(2, second.FilesKept);
        Assert.Equal(first.Survey.Id, second.Survey.Id);
        Assert.Contains("nothing was added", Assert.Single(second.Told), StringComparison.Ordinal);
        Assert.Single(scratch.Estate.Surveys());
        Assert.Equal(2, Captures(first.Survey).Length);
    }

    [Fact]
    public void Add_CardThatGrew_BringsOnlyTheNewFiles()
    {
        string card = Card("one", ("a/0001.tif", "1"), ("a/0002.tif", "2"));
        SurveyAddition.Add(scratch.Estate, [card], Looking);
        Card("one", ("a/0003.tif", "three"));
        List<string> opened = [];
        CardDoor door = new(path =>
        {
            opened.Add(Path.GetFileName(path));
            return File.OpenRead(path);
        })
        {
            FilesAtOnce = 1,
        };
        SurveyAdded grown = SurveyAddition.Add(scratch.Estate, [card], Looking, null, default, door);
        Assert.Equal(1, grown.Files);
        Assert.Equal(["0003.tif"], opened);
        Assert.Equal("three", File.ReadAllText(Path.Combine(grown.Survey.Captures, "card-2", "a", "0003.tif")));
        Assert.Equal(3, SurveyChecksums.Read(grown.Survey).Count);
        Assert.False(Directory.Exists(Path.Combine(grown.Survey.Root, "incoming")));
    }

    [Fact]
    public void Add_AfterACardWasPulledOut_GoesOnWithTheRest()
    {
        string card = Card("one", ("0001.tif", "1"), ("0002.tif", "22"), ("0003.tif", "333"));
        CardDoor pulled = new(path =>
            path.EndsWith("0003.tif", StringComparison.Ordinal)
                ? throw new IOException("no such device")
                : File.OpenRead(path)
        )
        {
            FilesAtOnce = 1,
        };
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            SurveyAddition.Add(scratch.Estate, [card], Looking, null, default, pulled)
        );
        Assert.Contains("0003.tif", problem.Message, StringComparison.Ordinal);
        Assert.Empty(RunOrder.Of(scratch.Estate));
        List<string> opened = [];
        CardDoor door = new(path =>
        {
            opened.Add(Path.GetFileName(path));
            return File.OpenRead(path);
        })
        {
            FilesAtOnce = 1,
        };
        SurveyAdded added = SurveyAddition.Add(scratch.Estate, [card], Looking, null, default, door);
        Assert.Equal(["0003.tif"], opened);
        Assert.Equal(2, added.FilesKept);
        Assert.Equal(3, added.Readings.Count);
        Assert.Equal(3, Captures(added.Survey).Length);
    }

    [Fact]
    public void Add_ManyFilesOverAFaultyCard_KeepsAllBeforeTheFirstFaultAndTellsIt()
    {
        const int Files = 120;
        const int FirstBad = 90;
        string card = Card(
            "one",
            [.. Enumerable.Range(0, Files).Select(at => ($"{at:0000}.tif", new string('x', 2000 + (at * 37))))]
        );
        CardDoor faulty = new(path =>
            int.Parse(Path.GetFileNameWithoutExtension(path), System.Globalization.CultureInfo.InvariantCulture)
            >= FirstBad
                ? throw new IOException("sector not found")
                : File.OpenRead(path)
        );
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            SurveyAddition.Add(scratch.Estate, [card], Looking, null, default, faulty)
        );
        Assert.Contains($"{FirstBad:0000}.tif", problem.Message, StringComparison.Ordinal);
        SurveyAdded added = SurveyAddition.Add(scratch.Estate, [card], Looking);
        Assert.Equal(FirstBad, added.FilesKept);
        Assert.Equal(Files, Captures(added.Survey).Length);
        Assert.DoesNotContain(Captures(added.Survey), file => file.EndsWith(".partial", StringComparison.Ordinal));
        foreach ((string name, string sum) in SurveyChecksums.Read(added.Survey))
        {
            byte[] bytes = File.ReadAllBytes(Path.Combine(added.Survey.Captures, name));
            Assert.Equal(Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(bytes)), sum);
        }
    }

    [Fact]
    public void Add_FilesLargerThanWhatIsReadAhead_ComeOneAfterAnother()
    {
        CardPipeline<int> pipeline = new(
            at => at,
            (_, _) => null,
            _ => 200L << 20,
            _ => Interlocked.Increment(ref seen)
        );
        pipeline.Run(20, workers: 3, CancellationToken.None);
        Assert.Equal(20, seen);
    }

    private int seen;

    [Fact]
    public void Add_Copied_ChecksumsAndTimeStampsAreTheCards()
    {
        string card = Card("one", ("a/0001.tif", "abc"));
        DateTime stamp = new(2026, 3, 14, 10, 0, 0, DateTimeKind.Utc);
        File.SetLastWriteTimeUtc(Path.Combine(card, "a", "0001.tif"), stamp);
        SurveyAdded added = SurveyAddition.Add(scratch.Estate, [card], Looking);
        // FIPS 180-2, example B.1.
        Assert.Equal(
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
            SurveyChecksums.Read(added.Survey)["card-1/a/0001.tif"]
        );
        Assert.Equal(stamp, File.GetLastWriteTimeUtc(Captures(added.Survey)[0]));
    }

    [Fact]
    public void Add_PlainAdditionOfAGrownCard_PointsToIntake()
    {
        string card = Card("one", ("a/0001.tif", "1"));
        SurveyAddition.Add(scratch.Estate, [card], Looking);
        Card("one", ("a/0002.tif", "22"));
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            SurveyAddition.Add(scratch.Estate, [card], Looking with { Look = false })
        );
        Assert.Contains("hillrow intake", problem.Message, StringComparison.Ordinal);
    }

    private static string[] Captures(SurveyFolder survey) =>
        Directory.GetFiles(survey.Captures, "*", SearchOption.AllDirectories);

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
