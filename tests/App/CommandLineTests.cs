using System.Text.Json;
using Xunit;
using static Hillrow.App.Tests.CommandAnswer;

namespace Hillrow.App.Tests;

public sealed class CommandLineTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-app-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    private string Estate => Path.Combine(folder, "estate");

    [Fact]
    public void WholeBlockBook_FromNewToLog_Works()
    {
        Assert.Equal(0, Run("new", Estate, "--name", "Vale of the Test", "--at=-7.25,-75.3").Code);
        Assert.Equal(0, AddNorth().Code);
        CommandAnswer edit = Run(
            "block",
            "edit",
            Estate,
            "north",
            "--crop",
            "coffee",
            "--row-spacing",
            "2.5",
            "--json"
        );
        Assert.Equal(2.5, edit.Result.GetProperty("block").GetProperty("rowSpacingMetres").GetDouble());
        Assert.Equal(
            0,
            Run(
                "log",
                "add",
                Estate,
                "--block",
                "North",
                "--kind",
                "spray",
                "--day",
                "2026-02-01",
                "--amount",
                "2",
                "--unit",
                "l/ha"
            ).Code
        );
        Assert.Equal("2026-02-01 North, spray 2 l/ha", Run("log", "list", Estate).Output.Trim());
        JsonElement status = Run("status", Estate, "--json").Result;
        Assert.Equal(1, status.GetProperty("blocks").GetInt32());
        Assert.Equal("EPSG:32718", status.GetProperty("referenceSystem").GetString());
    }

    [Fact]
    public void Demo_FolderWithSomebodysFiles_IsRefusedAndLeftAsItWas()
    {
        string own = Path.Combine(folder, "letters.txt");
        File.WriteAllText(own, "mine");
        CommandAnswer answer = Run("demo", folder);
        Assert.Equal(2, answer.Code);
        Assert.Contains("letters.txt", answer.Error, StringComparison.Ordinal);
        Assert.Contains("new or empty", answer.Error, StringComparison.Ordinal);
        Assert.Equal([own], Directory.EnumerateFileSystemEntries(folder));
    }

    [Fact]
    public void BlockImport_OneOutlineBad_StoresNothingUnlessAskedTo()
    {
        Run("new", Estate, "--name", "Vale", "--zone", "18S");
        string file = Path.Combine(folder, "blocks.kml");
        File.WriteAllText(
            file,
            """
            <kml><Document>
            <Placemark><name>Good</name><Polygon><outerBoundaryIs><LinearRing><coordinates>-75.30,-7.26 -75.29,-7.26 -75.29,-7.25</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>
            <Placemark><name>Thin</name><Polygon><outerBoundaryIs><LinearRing><coordinates>-75.20,-7.26 -75.19,-7.26 -75.195,-7.26</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>
            </Document></kml>
            """
        );
        CommandAnswer first = Run("block", "import", Estate, file, "--json");
        Assert.Equal(2, first.Code);
        Assert.Contains("refused: placemark 2 \"Thin\" at -7.26", first.Error, StringComparison.Ordinal);
        Assert.Equal(0, Run("block", "list", Estate, "--json").Result.GetProperty("blocks").GetArrayLength());
        Assert.Equal(2, Run("block", "import", Estate, file, "--keep-good").Code);
        Assert.Equal(1, Run("block", "list", Estate, "--json").Result.GetProperty("blocks").GetArrayLength());
    }

    [Fact]
    public void Pack_NewEstate_EndsWithTwoAndSaysWhatIsMissing()
    {
        Run("new", Estate, "--name", "Vale", "--zone", "18S");
        CommandAnswer answer = Run("pack", Estate, "--json");
        Assert.Equal(2, answer.Code);
        Assert.False(answer.Result.GetProperty("ready").GetBoolean());
        Assert.Contains(
            answer.Result.GetProperty("items").EnumerateArray(),
            item =>
                item.GetProperty("subject").GetString() == "plan" && item.GetProperty("state").GetString() == "missing"
        );
        Assert.Contains("MISSING  blocks", answer.Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("stats", "Did you mean status?")]
    [InlineData("block lst", "Did you mean list?")]
    [InlineData("new x --nam y", "Did you mean --name?")]
    [InlineData("new x", "--name")]
    [InlineData("new x --name y", "does not know where the estate lies")]
    [InlineData("new x --name y --zone 99S", "is no UTM zone")]
    [InlineData("new x --name y --zone 18S --language fr", "Choose one of en, es, pt")]
    [InlineData("status nowhere", "does not exist")]
    [InlineData("why surface", "lies in no estate")]
    public void Mistake_EndsWithTwoAndOneLineThatHelps(string line, string words)
    {
        CommandAnswer answer = Run(line.Split(' '));
        Assert.Equal(2, answer.Code);
        Assert.Contains(words, answer.Error, StringComparison.Ordinal);
        Assert.Single(answer.Error.Trim().Split('\n'));
        Assert.Empty(answer.Output);
    }

    [Theory]
    [InlineData("--kind", "spay", "Did you mean spray?")]
    [InlineData("--day", "14.3.2026", "YYYY-MM-DD")]
    [InlineData("--amount", "a lot", "is no number")]
    [InlineData("--block", "Nort", "Did you mean \"North\"?")]
    [InlineData("--amount", "-3", "must be 0 or more")]
    public void LogAdd_WrongValue_EndsWithTwoAndNamesTheRemedy(string option, string value, string words)
    {
        Run("new", Estate, "--name", "Vale", "--zone", "18S");
        AddNorth();
        Dictionary<string, string> options = new()
        {
            ["--block"] = "North",
            ["--kind"] = "spray",
            ["--unit"] = "l",
            ["--amount"] = "1",
        };
        options[option] = value;
        CommandAnswer answer = Run([
            "log",
            "add",
            Estate,
            .. options.Select(pair => $"{pair.Key}={pair.Value}"),
            "--json",
        ]);
        Assert.Equal(2, answer.Code);
        Assert.Contains(words, answer.Error, StringComparison.Ordinal);
        Assert.False(answer.Result.GetProperty("ok").GetBoolean());
        Assert.True(answer.Result.GetProperty("error").GetProperty("remedy").GetString()!.Length > 5);
    }

    [Fact]
    public void Help_OfEveryCommand_CallsTheProgramHillrowAndExplains()
    {
        foreach (
            string[] path in new string[][]
            {
                [],
                ["new"],
                ["block"],
                ["block", "import"],
                ["log", "add"],
                ["survey", "add"],
                ["run"],
                ["status"],
                ["why"],
                ["demo"],
            }
        )
        {
            CommandAnswer answer = Run([.. path, "--help"]);
            Assert.Equal(0, answer.Code);
            Assert.Contains($"  hillrow {string.Join(' ', path)}".TrimEnd(), answer.Output, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Why_EstateNamedFirst_LooksThere()
    {
        Run("new", Estate, "--name", "Vale", "--zone", "18S");
        CommandAnswer answer = Run("why", Estate, "mapping");
        Assert.Equal(2, answer.Code);
        Assert.Contains("No run has ended there yet", answer.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void Run_NoSurveyYet_SaysHowToBringOne()
    {
        Run("new", Estate, "--name", "Vale", "--zone", "18S");
        CommandAnswer answer = Run("run", Estate);
        Assert.Equal(0, answer.Code);
        Assert.Contains("hillrow survey add", answer.Output, StringComparison.Ordinal);
    }

    [Fact]
    public void SurveyAddThenRun_CardIsNoPicture_EndsWithTwoAndStatusStillSaysWhy()
    {
        Run("new", Estate, "--name", "Vale", "--zone", "18S");
        File.WriteAllText(Path.Combine(Estate, "cameras", "own.toml"), "name = 3");
        string card = Directory.CreateDirectory(Path.Combine(folder, "card")).FullName;
        File.WriteAllText(Path.Combine(card, "0001.tif"), "no picture");
        CommandAnswer added = Run("survey", "add", Estate, card, "--date", "2026-03-14", "--json");
        Assert.Equal(0, added.Code);
        Assert.Equal("2026-03-14", added.Result.GetProperty("survey").GetString());
        CommandAnswer run = Run("run", Estate, "--json");
        Assert.Equal(2, run.Code);
        Assert.False(run.Result.GetProperty("ok").GetBoolean());
        JsonElement first = run.Result.GetProperty("steps")[0];
        Assert.Equal("refused", first.GetProperty("end").GetString());
        Assert.Contains("own.toml", first.GetProperty("reasons")[0].GetString()!, StringComparison.Ordinal);
        JsonElement status = Run("status", Estate, "--json").Result.GetProperty("steps")[0];
        Assert.Equal("refused", status.GetProperty("state").GetString());
    }

    [Fact]
    public void Run_StoppedBeforeItBegan_EndsWith130AndOneObject()
    {
        Run("new", Estate, "--name", "Vale", "--zone", "18S");
        File.WriteAllText(Path.Combine(Estate, "cameras", "own.toml"), "name = 3");
        string card = Directory.CreateDirectory(Path.Combine(folder, "card")).FullName;
        File.WriteAllText(Path.Combine(card, "0001.tif"), "no picture");
        Run("survey", "add", Estate, card, "--date", "2026-03-14");
        using StringWriter output = new();
        using StringWriter error = new();
        int code = CommandLine.Run(["run", Estate, "--json"], output, error, new CancellationToken(canceled: true));
        Assert.Equal(130, code);
        Assert.True(
            JsonDocument
                .Parse(output.ToString().TrimEnd().Split('\n')[^1])
                .RootElement.GetProperty("stopped")
                .GetBoolean()
        );
    }

    [Fact]
    public void NoArguments_ShowsTheHelp() => Assert.Contains("Usage:", Run().Output, StringComparison.Ordinal);

    [Fact]
    public void Version_IsOneLine() => Assert.Matches("^[0-9]+\\.[0-9]+\\.[0-9]+", Run("--version").Output);

    [Fact]
    public void DamagedEstate_EndsWithTwoAndNoStackTrace()
    {
        Run("new", Estate, "--name", "Vale", "--zone", "18S");
        File.WriteAllText(Path.Combine(Estate, "estate.gpkg"), "not a database");
        CommandAnswer answer = Run("block", "list", Estate);
        Assert.Equal(2, answer.Code);
        Assert.Contains("Restore it from a copy", answer.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", answer.Error, StringComparison.Ordinal);
    }

    private CommandAnswer AddNorth() =>
        Run("block", "add", Estate, "North", "--corner=-7.25,-75.30", "--corner=-7.25,-75.29", "--corner=-7.26,-75.29");
}
