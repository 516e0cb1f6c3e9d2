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
        string page = Write(Content(language));
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
        Assert.Contains("outside the map: Ridge.", Write(Content("en")), StringComparison.Ordinal);
        ReportContent whole = Content("en");
        whole = whole with
        {
            Blocks = [.. whole.Blocks.Select(block => block with { Mapped = block.Mapped with { Value = 0.995 } })],
        };
        Assert.DoesNotContain("outside the map", Write(whole), StringComparison.Ordinal);
    }

    [Fact]
    public void WriteHtml_TwoSurveys_TellsFrontAndSinglePlantsApartFromPatches()
    {
        string page = Write(Content("en"));
        Assert.Contains("a month (between", page, StringComparison.Ordinal);
        Assert.Contains("single plants outside the patches", page, StringComparison.Ordinal);
        string first = Write(Content("en") with { PreviousDate = null, NewlyDeclining = null });
        Assert.Contains("first survey", first, StringComparison.Ordinal);
        Assert.DoesNotContain("a month (between", first, StringComparison.Ordinal);
    }

    [Fact]
    public void WriteHtml_EveryFigure_CarriesItsValueAndKey()
    {
        XDocument page = XDocument.Parse(Write(Content("es"))["<!DOCTYPE html>".Length..].Trim());
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
        string page = Write(Content("en") with { EstateName = "<b>Ridge & Sons</b>" });
        Assert.Contains("&lt;b&gt;Ridge &amp; Sons&lt;/b&gt;", page, StringComparison.Ordinal);
    }

    [Fact]
    public void WriteHtml_UnknownLanguage_NamesTheChoices()
    {
        InputProblemException problem = Assert.Throws<InputProblemException>(() => Write(Content("xx")));
        Assert.Contains("en, es, pt", problem.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(100, 0.25, 20)]
    [InlineData(430, 0.25, 100)]
    [InlineData(210, 0.25, 50)]
    [InlineData(8, 0.25, 2)]
    public void ScaleBar_AnyWidth_IsRound(double width, double share, double wanted) =>
        Assert.Equal(wanted, ScaleBar.LengthMetres(width, share), 9);

    private static string Write(ReportContent content)
    {
        using MemoryStream stream = new();
        HandoverStage.WriteHtml(content, stream);
        return Encoding.UTF8.GetString(stream.ToArray());
    }

    private static ReportContent Content(string language) =>
        new()
        {
            EstateName = "Tres Hilos",
            Language = language,
            SurveyDate = new DateOnly(2026, 4, 9),
            PreviousDate = new DateOnly(2025, 10, 2),
            Plants = new ReportFigure("d|decline|estate|judged", 1234, FigureForm.Count),
            Declining = new ReportFigure("d|decline|estate|declining", 37, FigureForm.Count),
            DecliningShare = new ReportFigure("d|decline|estate|share", 37 / 1234.0, FigureForm.Share, 0.021, 0.042),
            Patches = new ReportFigure("d|decline|estate|patches", 1, FigureForm.Count),
            NewlyDeclining = new ReportFigure("d|change|estate|new", 12, FigureForm.Count),
            Recovered = new ReportFigure("d|change|estate|recovered", 3, FigureForm.Count),
            NewlyAlone = new ReportFigure("d|change|estate|alone", 6, FigureForm.Count),
            FrontMetresPerMonth = new ReportFigure("d|change|estate|front", 0.7, FigureForm.Metres, 0.5, 0.9),
            Blocks =
            [
                new BlockRow(
                    "Ridge",
                    new ReportFigure("a", 1.25, FigureForm.Hectares),
                    new ReportFigure("m", 0.93, FigureForm.Share),
                    new ReportFigure("b", 1234, FigureForm.Count),
                    new ReportFigure("c", 61, FigureForm.Count),
                    new ReportFigure("d", 37, FigureForm.Count),
                    new ReportFigure("e", 0.03, FigureForm.Share, 0.02, 0.04),
                    new ReportFigure("f", 5, FigureForm.Count),
                    new ReportFigure("g", double.NaN, FigureForm.Metres)
                ),
            ],
            PatchList =
            [
                new PatchRow(
                    "1",
                    "Ridge",
                    new ReportFigure("p1", 20, FigureForm.Count),
                    new ReportFigure("p2", 500_010, FigureForm.Count),
                    new ReportFigure("p3", 9_200_010, FigureForm.Count)
                ),
            ],
            Maps =
            [
                new ReportMap
                {
                    TitleKey = "map.decline",
                    Picture = Convert.FromBase64String(
                        "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg=="
                    ),
                    PictureType = "image/png",
                    Extent = new MapExtent(500_000, 9_200_000, 500_100, 9_200_080, "EPSG:32718"),
                    Date = new DateOnly(2026, 4, 9),
                    Outlines =
                    [
                        new MapOutline(
                            OutlineKind.Patch,
                            "1",
                            new GridPolygon([
                                new GridPoint(500_010, 9_200_010),
                                new GridPoint(500_030, 9_200_010),
                                new GridPoint(500_020, 9_200_030),
                            ])
                        ),
                    ],
                    Marks =
                    [
                        new MapMark(MarkKind.Severe, new GridPoint(500_020, 9_200_015)),
                        new MapMark(MarkKind.Gap, new GridPoint(500_060, 9_200_055)),
                    ],
                    Ramp = new MapRamp("ramp.ndvi", 0.2, 0.9, ["#440154", "#21918c", "#fde725"]),
                },
            ],
            Quality = [new QualityRow("quality.sun", new ReportFigure("q", 47, FigureForm.Degrees))],
            Warnings = ["Block Ridge: 2 captures were left out: blurred."],
            Methods = [new MethodNote("judging plants", "robust regression on a slow surface", "Tukey's bisquare")],
            MadeBy = "Hillrow 0.1.0",
        };

    [GeneratedRegex(@"\{\d\}", RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Places();
}
