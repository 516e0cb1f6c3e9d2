using System.Text.RegularExpressions;
using System.Xml.Linq;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Intake.Tests;

public sealed class FieldCheckPageTests : IDisposable
{
    private readonly TestFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Theory]
    [InlineData("en", "Go", "Captures that see each place")]
    [InlineData("es", "Listo", "Capturas que ven cada lugar")]
    [InlineData("pt", "Pronto", "Capturas que veem cada lugar")]
    public void Write_CleanFlight_SpeaksTheLanguageAndHasNoEmptyHeading(string language, string verdict, string map)
    {
        new CheckFlight().Write(folder);
        string page = Page(CheckFlight.Check(folder), language);
        Assert.Contains($">{verdict}</h1>", page, StringComparison.Ordinal);
        Assert.Contains($"<h2>{map}</h2>", page, StringComparison.Ordinal);
        CheckTexts texts = CheckTexts.Of(language);
        Assert.DoesNotContain($"<h2>{texts["pictures"]}</h2>", page, StringComparison.Ordinal);
        Assert.DoesNotContain($"<h2>{texts["decided"]}</h2>", page, StringComparison.Ordinal);
        Assert.DoesNotMatch("</h2>\\s*(<h2|</html|</section)", page);
        Assert.DoesNotContain("<ul></ul>", page, StringComparison.Ordinal);
    }

    [Fact]
    public void Write_HoleAndFaults_MapNamesBlocksScaleNorthAndHoles()
    {
        new CheckFlight
        {
            Keep = (line, _) => line is not (2 or 3 or 4 or 5),
            Blurred = (line, shot) => (line, shot) == (1, 5),
        }.Write(folder);
        CaptureDecision[] decisions = [new("s-0-03-red.tif", DecisionKind.LeaveOut, "<a bird>")];
        string page = Page(CheckFlight.Check(folder, decisions: decisions), "en");
        Assert.Contains("Re-fly, about", page, StringComparison.Ordinal);
        Assert.Contains("Vale &lt;of&gt; the Test", page, StringComparison.Ordinal);
        Assert.Contains(">Alto</text>", page, StringComparison.Ordinal);
        Assert.Contains(">10 m</text>", page, StringComparison.Ordinal);
        Assert.Contains(">N</text>", page, StringComparison.Ordinal);
        Assert.Contains("hole: too few captures", page, StringComparison.Ordinal);
        Assert.Contains("captures blurred", page, StringComparison.Ordinal);
        Assert.Contains("left out: &lt;a bird&gt;", page, StringComparison.Ordinal);
        foreach (Match svg in Regex.Matches(page, "<svg.*?</svg>", RegexOptions.Singleline))
        {
            Assert.Equal("svg", XDocument.Parse(svg.Value).Root!.Name.LocalName);
        }

        Assert.Equal(2, Regex.Count(page, "<svg"));
        Assert.DoesNotContain("http", page, StringComparison.Ordinal);
        Assert.DoesNotContain("src=", page, StringComparison.Ordinal);
    }

    [Fact]
    public void Texts_EveryLanguage_HasTheSameKeysAndPlaces()
    {
        foreach (string language in CheckTexts.Languages)
        {
            CheckTexts texts = CheckTexts.Of(language);
            Assert.Equal(CheckTexts.English.Keys.Order(), texts.Keys.Order());
            Assert.All(texts.Keys, key => Assert.Equal(Places(CheckTexts.English[key]), Places(texts[key])));
            Assert.All(Enum.GetValues<FrameFault>(), fault => Assert.NotEmpty(texts.Of(fault)));
        }

        static IEnumerable<string> Places(string text) =>
            Regex.Matches(text, "\\{(\\d)").Select(match => match.Groups[1].Value).Order();
    }

    private static string Page(FieldCheckResult check, string language) =>
        FieldCheckPage.Write(
            check,
            new FieldCheckSettings(),
            "Vale <of> the Test",
            "2026-03-14",
            CheckTexts.Of(language)
        );
}
