using Hillrow.Earth;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class EstateTomlTests
{
    [Fact]
    public void Write_ThenParse_GivesTheSameSettings()
    {
        EstateSettings settings = EstateSettings.Plain(
            "Vale \"of\" the \\ Test",
            ReferenceSystem.Utm(23, false),
            Language.Portuguese
        ) with
        {
            Units = new EstateUnits("acre", "foot", "pound", "BRL"),
            Limits = new EstateLimits(90.5, 400, 3, 7.5, 1),
        };
        Assert.Equal(settings, EstateToml.Parse(EstateToml.Write(settings), "estate.toml"));
    }

    [Fact]
    public void Parse_ManyProblems_TellsAllInOneLine()
    {
        string text = """
            name = ""
            reference_system = "61S"
            langage = "en"
            language = "fr"
            [units]
            area = "morgen"
            [limits]
            threads = -1
            height_above_ground_metres = "high"
            """;
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            EstateToml.Parse(text, "estate.toml")
        );
        foreach (
            string words in new[]
            {
                "name is \"\"",
                "reference_system is \"61S\"",
                "langage is unknown (did you mean language?)",
                "language is \"fr\"",
                "units.area is \"morgen\"",
                "limits.threads is -1",
                "limits.height_above_ground_metres must be a number",
            }
        )
        {
            Assert.Contains(words, problem.Message, StringComparison.Ordinal);
        }

        Assert.DoesNotContain('\n', problem.Message);
    }

    [Fact]
    public void Parse_BrokenToml_NamesTheLine()
    {
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            EstateToml.Parse("name = \"a\"\nlanguage = = 3", "estate.toml")
        );
        Assert.Contains("line 2, column 12", problem.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("23S", 32723)]
    [InlineData("7 n", 32607)]
    [InlineData("EPSG:32718", 32718)]
    [InlineData("32601", 32601)]
    [InlineData("0S", null)]
    [InlineData("61N", null)]
    [InlineData("EPSG:4326", null)]
    [InlineData("18", null)]
    public void ZoneText_Parse_UnderstandsWhatPeopleWrite(string text, int? code) =>
        Assert.Equal(code, UtmZoneText.Parse(text)?.EpsgCode);
}
