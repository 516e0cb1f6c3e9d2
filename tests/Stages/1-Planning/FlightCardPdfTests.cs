using System.Globalization;
using System.Text.RegularExpressions;
using Hillrow.Checks;
using Hillrow.Sheets;
using Hillrow.TestSupport;
using PdfSharp.Pdf;
using PdfSharp.Pdf.IO;
using Xunit;

namespace Hillrow.Planning.Tests;

/// <summary>The printed flight card, read back by poppler, which knows nothing of us.</summary>
public sealed partial class FlightCardPdfTests
{
    private const int Matching = 2000;

    private static readonly Lazy<PlanningResult> Made = new(() =>
        PlanningStage.Run(
            PlanScene.Input(
                PlanScene.Ground(500, 20, (east, north) => (0.25 * east) + (6 * Math.Sin(north / 60))),
                3,
                [PlanScene.Rectangle(-80, -60, 200, 160)],
                new PlanPoint(-90, -70)
            ) with
            {
                Obstacles =
                [
                    new Obstacle("mast at the shed", ObstacleShape.Point, [new PlanPoint(130, 40)], 18),
                    new Obstacle("wire", ObstacleShape.Line, [new PlanPoint(-120, 60), new PlanPoint(20, 130)], 9),
                ],
                NoFly = [new NoFlyArea("school", PlanScene.Rectangle(150, -80, 30, 40))],
            },
            new PlanningSettings { Date = new DateOnly(2026, 4, 12), LineOfSightMetres = 900 }
        )
    );

    public static TheoryData<string> Papers => [.. Paper.All.Select(paper => paper.Name)];

    [Theory]
    [MemberData(nameof(Papers))]
    public void Of_AnyPaper_IsOfItsSizeWithASheetForEverySortie(string name)
    {
        Paper paper = Named(name);
        using PdfDocument card = PdfReader.Open(new MemoryStream(Write(paper)), PdfDocumentOpenMode.Import);
        Assert.True(card.PageCount > Made.Value.Sorties.Count, $"{card.PageCount} sheets");
        Assert.All<PdfPage>(
            [.. Enumerable.Range(0, card.PageCount).Select(at => card.Pages[at])],
            page =>
            {
                Assert.Equal(paper.WidthMillimetres * 72 / 25.4, page.Width.Point, 0.1);
                Assert.Equal(paper.HeightMillimetres * 72 / 25.4, page.Height.Point, 0.1);
            }
        );
    }

    [Fact]
    public void Of_SamePlan_SameBytes() => Assert.Equal(Write(Paper.A4), Write(Paper.A4));

    [Fact]
    public void Of_Text_PutsRulesAndJudgementFirstAndSaysWhatThePageSays()
    {
        string? text = PdfReading.TextOf(Write(Paper.Letter), "-layout", "-enc", "UTF-8");
        Assert.SkipWhen(text is null, "pdftotext is not on this machine");
        string plain = Spaces().Replace(text, " ");
        Assert.True(
            plain.IndexOf("pilot's judgement", StringComparison.Ordinal)
                < plain.IndexOf(CardContent.AskedTitle, StringComparison.Ordinal)
        );
        Assert.Contains("National flight rules", plain, StringComparison.Ordinal);
        Assert.Contains("Obstacle \"mast at the shed\", 18 m high", plain, StringComparison.Ordinal);
        PlanPlaces places = new(PlanScene.Frame);
        IEnumerable<string> values = CardContent
            .Asked(Made.Value)
            .Concat(Made.Value.Sorties.SelectMany(sortie => CardContent.Of(Made.Value, sortie, places)))
            .Select(fact => fact.Value);
        // Narrow spaces get lost in reading back; words and numbers do not.
        string closed = Spaces().Replace(text, "");
        Assert.All(values, value => Assert.Contains(Spaces().Replace(value, ""), closed, StringComparison.Ordinal));
        Assert.Contains("good", plain, StringComparison.Ordinal);
    }

    /// <summary>No word lies beyond the edge of its sheet, nor so near to it that a printer cuts it.</summary>
    [Theory]
    [MemberData(nameof(Papers))]
    public void Of_AnyPaper_EveryWordLiesInsideTheMargin(string name)
    {
        Paper paper = Named(name);
        string? boxes = PdfReading.TextOf(Write(paper), "-bbox");
        Assert.SkipWhen(boxes is null, "pdftotext is not on this machine");
        MatchCollection words = Word().Matches(boxes);
        Assert.True(words.Count > 300, $"{words.Count} words");
        const double Margin = 14;
        foreach (Match word in words)
        {
            double At(string side) => double.Parse(word.Groups[side].Value, CultureInfo.InvariantCulture);
            Assert.True(
                At("left") > Margin
                    && At("top") > Margin
                    && At("right") < (paper.WidthMillimetres * 72 / 25.4) - Margin
                    && At("bottom") < (paper.HeightMillimetres * 72 / 25.4) - Margin,
                word.Value
            );
        }
    }

    private static Paper Named(string name) => Paper.All.Single(one => one.Name == name);

    private static byte[] Write(Paper paper) => FlightCardPdf.Of(Made.Value, "test", "Invented estate", paper);

    [GeneratedRegex(@"\s+", RegexOptions.None, Matching)]
    private static partial Regex Spaces();

    [GeneratedRegex(
        "<word xMin=\"(?<left>[-0-9.]+)\" yMin=\"(?<top>[-0-9.]+)\" xMax=\"(?<right>[-0-9.]+)\" yMax=\"(?<bottom>[-0-9.]+)\">",
        RegexOptions.ExplicitCapture,
        Matching
    )]
    private static partial Regex Word();
}
