using Hillrow.Findings;
using Hillrow.Numerics;
using Microsoft.Data.Sqlite;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class ScoutAnswersTests
{
    private const string Head = "stop,survey,plant,state,cause,sample,who,answered,latitude,longitude,note";

    [Fact]
    public void Read_CsvOfTheWalkPage_GivesEveryAnswer()
    {
        using ScratchEstate scratch = new();
        string file = scratch.File(
            "answers.csv",
            $"{Head}\r\n1,2026-04-12,17,moderate,rootpest,B1,Ana,2026-04-13T10:00:00Z,-12.1,-75.2,\"knots, many\"\r\n2,2026-04-12,18,gone,,,,,,,\r\n3,2026-04-12,19,,,,,,,,\r\n"
        );
        IReadOnlyList<ScoutAnswer> answers = ScoutAnswerFile.Read(file);
        Assert.Equal(2, answers.Count);
        Assert.Equal(
            (17, SeenState.Moderate, "rootpest", "B1", "knots, many"),
            (answers[0].Plant, answers[0].State, answers[0].Cause, answers[0].Sample, answers[0].Note)
        );
        Assert.Equal(-12.1, answers[0].Place!.Value.Latitude.Degrees, 9);
        Assert.Null(answers[1].State);
    }

    /// <summary>A table filled in by hand elsewhere: semicolons, a byte-order mark, Spanish and Portuguese words.</summary>
    [Theory]
    [InlineData("sana", SeenState.Healthy)]
    [InlineData("Severa", SeenState.Severe)]
    [InlineData("morta", SeenState.Dead)]
    [InlineData("leve", SeenState.Light)]
    public void Read_WordsOfOtherLanguages_AreUnderstood(string word, SeenState wanted)
    {
        using ScratchEstate scratch = new();
        string file = scratch.File("answers.csv", $"\uFEFFsurvey;plant;state\n2026-04-12;17;{word}\n");
        Assert.Equal(wanted, Assert.Single(ScoutAnswerFile.Read(file)).State);
    }

    [Fact]
    public void Read_GeoJson_GivesAnswers()
    {
        using ScratchEstate scratch = new();
        string file = scratch.File(
            "answers.geojson",
            """{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"Point","coordinates":[-75.2,-12.1]},"properties":{"survey":"2026-04-12","plant":17,"state":"light","who":"Ana"}}]}"""
        );
        ScoutAnswer answer = Assert.Single(ScoutAnswerFile.Read(file));
        Assert.Equal(SeenState.Light, answer.State);
        Assert.Equal(-75.2, answer.Place!.Value.Longitude.Degrees, 9);
    }

    [Theory]
    [InlineData("", "empty")]
    [InlineData("a,b\n1,2\n", "survey, plant, state")]
    [InlineData("survey,plant,state\n2026-04-12,x,light\n", "line 2")]
    [InlineData("survey,plant,state\nyesterday,1,light\n", "yesterday")]
    [InlineData("survey,plant,state\n2026-04-12,1,poorly\n", "poorly")]
    [InlineData("survey,plant,state,latitude,longitude\n2026-04-12,1,light,95,200\n", "no place")]
    [InlineData("{\"features\":3}", "cannot be read")]
    [InlineData("{\"features\":[", "cannot be read")]
    public void Read_BadFile_SaysWhatAndWhere(string text, string told)
    {
        using ScratchEstate scratch = new();
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            ScoutAnswerFile.Read(scratch.File("answers.csv", text))
        );
        Assert.Contains(told, problem.Message, StringComparison.Ordinal);
        Assert.Contains("answers.csv", problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Add_SameFileTwice_StoresOnce()
    {
        using ScratchEstate scratch = new();
        Directory.CreateDirectory(Path.Combine(scratch.Estate.Root, "surveys", "2026-04-12"));
        using (SqliteConnection connection = scratch.Estate.OpenDatabase())
        {
            GeoPackageConnection.Execute(
                connection,
                "INSERT INTO plants (plant, first_survey, last_survey) VALUES (17, '2026-04-12', '2026-04-12')"
            );
        }

        string file = scratch.File(
            "answers.csv",
            $"{Head}\n1,2026-04-12,17,severe,rootrot,B7,Ana,2026-04-13T10:00:00Z,-12.1,-75.2,\n"
        );
        ScoutBook book = new(scratch.Estate);
        Assert.Equal(1, book.Add(ScoutAnswerFile.Read(file)));
        Assert.Equal(0, book.Add(ScoutAnswerFile.Read(file)));
        Assert.Equal(ScoutAnswerFile.Read(file), book.Answers());
    }

    [Fact]
    public void Add_PlantOfAnotherEstate_StoresNothing()
    {
        using ScratchEstate scratch = new();
        Directory.CreateDirectory(Path.Combine(scratch.Estate.Root, "surveys", "2026-04-12"));
        string file = scratch.File("answers.csv", "survey,plant,state\n2026-04-12,99,light\n");
        ScoutBook book = new(scratch.Estate);
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            book.Add(ScoutAnswerFile.Read(file))
        );
        Assert.Contains("plant 99", problem.Message, StringComparison.Ordinal);
        Assert.Empty(book.Answers());
    }
}
