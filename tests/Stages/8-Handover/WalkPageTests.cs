using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;
using System.Xml.Linq;
using Hillrow.Earth;
using Xunit;

namespace Hillrow.Handover.Tests;

public sealed partial class WalkPageTests
{
    public static TheoryData<string> Languages => [.. ReportTexts.Languages];

    [Theory]
    [MemberData(nameof(Languages))]
    public void Write_AnyLanguage_NeedsNoNetworkAndHasEveryStop(string language)
    {
        string page = Text(stream => WalkPage.Write(Content(language), stream));
        Assert.DoesNotContain("http", page, StringComparison.Ordinal);
        Assert.DoesNotContain("{0}", page, StringComparison.Ordinal);
        Assert.Contains("id=\"stop1\"", page, StringComparison.Ordinal);
        Assert.Contains("id=\"stop2\"", page, StringComparison.Ordinal);
        Assert.Contains("data-state=\"gone\"", page, StringComparison.Ordinal);
    }

    /// <summary>A name cannot end the page's own script.</summary>
    [Fact]
    public void Write_NameWithMarkup_StaysText()
    {
        string page = Text(stream => WalkPage.Write(Content("en") with { EstateName = "</script><b>Ridge" }, stream));
        Assert.DoesNotContain("</script><b>", page, StringComparison.Ordinal);
        string data = Data().Match(page).Groups["json"].Value;
        using JsonDocument document = JsonDocument.Parse(data);
        Assert.Equal("</script><b>Ridge", document.RootElement.GetProperty("estate").GetString());
        Assert.Equal(2, document.RootElement.GetProperty("stops").GetArrayLength());
    }

    [Fact]
    public void WriteGpx_Stops_AreWaypointsAndTheWayATrack()
    {
        XDocument gpx = XDocument.Parse(Text(stream => WalkFiles.WriteGpx(Content("es"), stream)));
        XNamespace space = "http://www.topografix.com/GPX/1/1";
        Assert.Equal(["1", "2"], gpx.Descendants(space + "wpt").Select(stop => stop.Element(space + "name")!.Value));
        Assert.Equal("-12.1234567", gpx.Descendants(space + "wpt").First().Attribute("lat")!.Value);
        Assert.Equal(3, gpx.Descendants(space + "trkpt").Count());
    }

    [Fact]
    public void WriteCsv_Stops_HaveEmptyAnswers()
    {
        string[] lines = Text(stream => WalkFiles.WriteCsv(Content("en"), stream)).Split("\r\n");
        Assert.StartsWith("stop,survey,plant,", lines[0], StringComparison.Ordinal);
        Assert.StartsWith("1,2026-04-12,17,\"Ridge, upper\",", lines[1], StringComparison.Ordinal);
        Assert.EndsWith(",,,,,,", lines[1], StringComparison.Ordinal);
    }

    private static string Text(Action<Stream> write)
    {
        using MemoryStream stream = new();
        write(stream);
        return Encoding.UTF8.GetString(stream.ToArray());
    }

    private static WalkContent Content(string language)
    {
        GeographicPoint first = GeographicPoint.FromDegrees(-12.1234567, -75.2);
        GeographicPoint second = GeographicPoint.FromDegrees(-12.1236, -75.2003);
        return new WalkContent
        {
            EstateName = "Tres Hilos",
            Language = language,
            Survey = "2026-04-12",
            SurveyDate = new DateOnly(2026, 4, 12),
            Stops =
            [
                new WalkRow(1, 17, "Ridge, upper", "dig", "1", first, 42, IsSteep: true),
                new WalkRow(2, 204, "Ridge, upper", "look", "", second, 38, IsSteep: false),
            ],
            Way = [first, second, first],
            Blocks = [new WalkOutline("Ridge, upper", [first, second, GeographicPoint.FromDegrees(-12.124, -75.2)])],
            Metres = new ReportFigure("m", 80, FigureForm.WholeMetres),
            Minutes = new ReportFigure("t", 2, FigureForm.Count),
        };
    }

    [GeneratedRegex("type=\"application/json\">(?<json>.*?)</script>", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex Data();
}
