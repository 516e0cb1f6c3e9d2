using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;
using System.Xml.Linq;
using Hillrow.Earth;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Handover.Tests;

public sealed partial class ReportTests
{
    public static TheoryData<string> Languages => [.. ReportTexts.Languages];

    [Theory]
    [MemberData(nameof(Languages))]
    public void Texts_EveryLanguage_HasTheSameKeys(string language) =>
        Assert.Equal(ReportTexts.Of("en").Keys.Order(), ReportTexts.Of(language).Keys.Order());

    [Theory]
    [MemberData(nameof(Languages))]
    public void Texts_EveryLanguage_HasTheSamePlacesToFill(string language)
    {
        ReportTexts english = ReportTexts.Of("en");
        ReportTexts other = ReportTexts.Of(language);
        foreach (string key in english.Keys)
        {
            Assert.Equal(
                Places().Matches(english[key]).Select(match => match.Value).Order(),
                Places().Matches(other[key]).Select(match => match.Value).Order()
            );
        }
    }

    [Theory]
    [MemberData(nameof(Languages))]
    public void WriteHtml_AnyLanguage_IsWellFormedAndSelfContained(string language)
    {
        string page = Write(ReportSample.Content(language));
        XDocument.Parse(page["<!DOCTYPE html>".Length..].Trim());
        Assert.DoesNotContain(
            "http://",
            page.Replace("http://www.w3.org/2000/svg", "", StringComparison.Ordinal),
            StringComparison.Ordinal
        );
        Assert.DoesNotContain("https://", page, StringComparison.Ordinal);
        Assert.DoesNotContain("<script", page, StringComparison.Ordinal);
        Assert.DoesNotContain("{0}", page, StringComparison.Ordinal);
    }

    [Fact]
    public void WriteHtml_BlockPartlyOutsideTheMap_IsNamed()
    {
        Assert.Contains("outside the map: Ridge.", Write(ReportSample.Content("en")), StringComparison.Ordinal);
        ReportContent whole = ReportSample.Content("en");
        whole = whole with
        {
            Blocks = [.. whole.Blocks.Select(block => block with { Mapped = block.Mapped with { Value = 0.995 } })],
        };
        Assert.DoesNotContain("outside the map", Write(whole), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(0.05, "That is good")]
    [InlineData(0.083, "That is fair")]
    [InlineData(0.2, "That is poor")]
    public void WriteHtml_Light_TellsTheWidestBandAndWhatItAllows(double width, string verdict)
    {
        ReportContent content = ReportSample.Content("en");
        LightRow widest = content.Light!.Bands[1];
        string page = Write(
            content with
            {
                Light = content.Light with
                {
                    Bands =
                    [
                        content.Light.Bands[0],
                        widest with
                        {
                            Figures = [widest.Figures[0] with { Value = width }, widest.Figures[1]],
                        },
                    ],
                },
            }
        );
        Assert.Contains("How far you can trust the colours", page, StringComparison.Ordinal);
        Assert.Contains("least certain band, near infrared", page, StringComparison.Ordinal);
        Assert.Contains(verdict, page, StringComparison.Ordinal);
        Assert.DoesNotContain("trust the colours", Write(content with { Light = null }), StringComparison.Ordinal);
    }

    [Fact]
    public void WriteHtml_TwoSurveys_TellsFrontAndSinglePlantsApartFromPatches()
    {
        string page = Write(ReportSample.Content("en"));
        Assert.Contains("a month (between", page, StringComparison.Ordinal);
        Assert.Contains("single plants outside the patches", page, StringComparison.Ordinal);
        string first = Write(ReportSample.Content("en") with { PreviousDate = null, NewlyDeclining = null });
        Assert.Contains("first survey", first, StringComparison.Ordinal);
        Assert.DoesNotContain("a month (between", first, StringComparison.Ordinal);
    }

    [Fact]
    public void WriteHtml_EveryFigure_CarriesItsValueAndKey()
    {
        XDocument page = XDocument.Parse(Write(ReportSample.Content("es"))["<!DOCTYPE html>".Length..].Trim());
        Dictionary<string, double> found = page.Descendants("data")
            .GroupBy(element => (string)element.Attribute("data-finding")!)
            .ToDictionary(
                group => group.Key,
                group => double.Parse((string)group.First().Attribute("value")!, CultureInfo.InvariantCulture)
            );
        Assert.Equal(37, found["d|decline|estate|declining"]);
        Assert.Equal(37 / 1234.0, found["d|decline|estate|share"]);
        Assert.Equal(0.021, found["d|decline|estate|share|low"]);
        Assert.Contains("3,0 %", page.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void WriteHtml_NameWithMarkup_IsEscaped()
    {
        string page = Write(ReportSample.Content("en") with { EstateName = "<b>Ridge & Sons</b>" });
        Assert.Contains("&lt;b&gt;Ridge &amp; Sons&lt;/b&gt;", page, StringComparison.Ordinal);
    }

    [Fact]
    public void WriteHtml_UnknownLanguage_NamesTheChoices()
    {
        InputProblemException problem = Assert.Throws<InputProblemException>(() => Write(ReportSample.Content("xx")));
        Assert.Contains("en, es, pt", problem.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(100, 0.25, 20)]
    [InlineData(430, 0.25, 100)]
    [InlineData(210, 0.25, 50)]
    [InlineData(8, 0.25, 2)]
    public void ScaleBar_AnyWidth_IsRound(double width, double share, double wanted) =>
        Assert.Equal(wanted, RoundLength.Within(width, share), 9);

    private static string Write(ReportContent content)
    {
        using MemoryStream stream = new();
        HandoverStage.WriteHtml(content, stream);
        return Encoding.UTF8.GetString(stream.ToArray());
    }

    [GeneratedRegex(@"\{\d\}", RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Places();
}
