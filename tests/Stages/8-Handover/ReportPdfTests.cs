using System.Diagnostics;
using System.Globalization;
using System.Text;
using Hillrow.Sheets;
using Hillrow.TestSupport;
using PdfSharp.Pdf;
using PdfSharp.Pdf.IO;
using Xunit;

namespace Hillrow.Handover.Tests;

public sealed class ReportPdfTests
{
    private const double PointsPerMillimetre = 72 / 25.4;

    public static TheoryData<string, string> LanguagesAndPapers =>
        [
            .. ReportTexts.Languages.SelectMany(language =>
                Paper.All.Select(paper => new TheoryDataRow<string, string>(language, paper.Name))
            ),
        ];

    [Theory]
    [MemberData(nameof(LanguagesAndPapers))]
    public void WritePdf_AnyLanguageAndPaper_IsTaggedAndOfTheAskedSize(string language, string paper)
    {
        Paper asked = Paper.All.Single(one => one.Name == paper);
        byte[] file = Write(ReportSample.Content(language), asked);
        using PdfDocument document = PdfReader.Open(new MemoryStream(file), PdfDocumentOpenMode.Import);
        Assert.NotNull(document.Internals.Catalog.Elements["/StructTreeRoot"]);
        Assert.Equal(language, document.Internals.Catalog.Elements.GetString("/Lang"));
        foreach (PdfPage page in document.Pages)
        {
            Assert.Equal(asked.WidthMillimetres * PointsPerMillimetre, page.Width.Point, 0.1);
            Assert.Equal(asked.HeightMillimetres * PointsPerMillimetre, page.Height.Point, 0.1);
        }
    }

    [Fact]
    public void WritePdf_SameContent_SameBytes() =>
        Assert.Equal(Write(ReportSample.Content("en"), Paper.A4), Write(ReportSample.Content("en"), Paper.A4));

    [Fact]
    public void WritePdf_ManyBlocks_RepeatsTheHeadOnEverySheet()
    {
        ReportContent content = ReportSample.Content("en");
        content = content with { Blocks = [.. Enumerable.Repeat(content.Blocks[0], 150)] };
        using PdfDocument document = PdfReader.Open(
            new MemoryStream(Write(content, Paper.A4)),
            PdfDocumentOpenMode.Import
        );
        Assert.True(document.PageCount >= 4, $"{document.PageCount} pages");
        string? text = PdfReading.TextOf(Write(content, Paper.A4), "-layout", "-enc", "UTF-8");
        Assert.SkipWhen(text is null, "pdftotext is not on this machine");
        string[] sheets = text.Split('\f');
        Assert.All(
            sheets.Where(sheet => sheet.Contains("Ridge  ", StringComparison.Ordinal)),
            sheet => Assert.Contains("Declining", sheet, StringComparison.Ordinal)
        );
        Assert.Equal(150, text.Split("1.25 ha").Length - 1);
    }

    /// <summary>Whoever copies or searches the PDF finds the page's own sentences, accents and signs whole.</summary>
    [Theory]
    [InlineData("en", "37 of 1,234 plants are declining (3.0 %).")]
    [InlineData("es", "37 de 1.234 plantas están decaídas (3,0 %).")]
    [InlineData("pt", "37 de 1.234 plantas")]
    public void WritePdf_AnyLanguage_TextIsSelectable(string language, string headline)
    {
        string? text = PdfReading.TextOf(
            Write(ReportSample.Content(language), Paper.Letter),
            "-layout",
            "-enc",
            "UTF-8"
        );
        Assert.SkipWhen(text is null, "pdftotext is not on this machine");
        Assert.Contains(headline, text, StringComparison.Ordinal);
        ReportTexts texts = ReportTexts.Of(language);
        Assert.Contains(texts["ask.next"], text, StringComparison.Ordinal);
        Assert.Contains(texts["cautions"], text, StringComparison.Ordinal);
        Assert.Contains(texts.Date(new DateOnly(2026, 4, 9)), text, StringComparison.Ordinal);
    }

    /// <summary>Every figure that the page marks stands in the PDF as well.</summary>
    [Fact]
    public void WritePdf_EveryFigureOfThePage_IsInIt()
    {
        ReportContent content = ReportSample.Content("en");
        string? text = PdfReading.TextOf(Write(content, Paper.A4), "-layout", "-enc", "UTF-8");
        Assert.SkipWhen(text is null, "pdftotext is not on this machine");
        ReportTexts texts = ReportTexts.Of("en");
        foreach (
            ReportFigure figure in content.Blocks.SelectMany(block =>
                new[] { block.Area, block.Mapped, block.Plants, block.Gaps, block.Declining, block.Share, block.Severe }
            )
        )
        {
            Assert.Contains(texts.Number(figure.Value, figure.Form), text, StringComparison.Ordinal);
        }
    }

    /// <summary>
    /// Every sheet, drawn in grey by poppler's pdftoppm, against the picture that was looked at and approved
    /// (tests/Reference/report-pages). Fonts are drawn a little differently by each version: in no tile of 24 pixels may the mean differ by 3 % of the grey range.
    /// After a change that is meant: HILLROW_APPROVE=1, look at the pictures, commit them.
    /// </summary>
    [Theory]
    [InlineData("a4")]
    [InlineData("letter")]
    public void WritePdf_Sheets_LookAsApproved(string name)
    {
        Paper paper = Paper.All.Single(one => string.Equals(one.Name, name, StringComparison.OrdinalIgnoreCase));
        IReadOnlyList<byte[]>? sheets = SheetsOf(Write(ReportSample.Content("en"), paper));
        Assert.SkipWhen(sheets is null, "pdftoppm is not on this machine");
        string folder = RepositoryFiles.Reference("report-pages");
        for (int at = 0; at < sheets.Count; at++)
        {
            string approved = Path.Combine(folder, string.Create(CultureInfo.InvariantCulture, $"{name}-{at + 1}.pgm"));
            if (Environment.GetEnvironmentVariable("HILLROW_APPROVE") == "1")
            {
                File.WriteAllBytes(approved, sheets[at]);
            }

            byte[] wanted = File.ReadAllBytes(approved);
            Assert.Equal(wanted.Length, sheets[at].Length);
            double off = WorstTile(wanted, sheets[at]);
            Assert.True(off < 0.03, $"sheet {at + 1} differs by {off:P1} of the grey range in a tile from {approved}");
        }

        Assert.False(
            File.Exists(
                Path.Combine(folder, string.Create(CultureInfo.InvariantCulture, $"{name}-{sheets.Count + 1}.pgm"))
            ),
            "an approved sheet is missing from the report"
        );
    }

    // A mean over the sheet would not see a sentence that is gone.
    private static double WorstTile(byte[] wanted, byte[] drawn)
    {
        string[] head = Encoding.ASCII.GetString(wanted, 0, 24).Split([' ', '\n'], 4);
        int columns = int.Parse(head[1], CultureInfo.InvariantCulture);
        int rows = int.Parse(head[2], CultureInfo.InvariantCulture);
        int first = wanted.Length - (columns * rows);
        const int side = 24;
        double worst = 0;
        for (int top = 0; top + side <= rows; top += side / 2)
        {
            for (int left = 0; left + side <= columns; left += side / 2)
            {
                double sum = 0;
                for (int at = 0; at < side * side; at++)
                {
                    int place = first + ((top + (at / side)) * columns) + left + (at % side);
                    sum += Math.Abs(wanted[place] - drawn[place]) / 255.0;
                }

                worst = Math.Max(worst, sum / (side * side));
            }
        }

        return worst;
    }

    private static IReadOnlyList<byte[]>? SheetsOf(byte[] file)
    {
        string folder = Directory.CreateTempSubdirectory("hillrow-sheets-").FullName;
        try
        {
            string path = Path.Combine(folder, "report.pdf");
            File.WriteAllBytes(path, file);
            using Process process = Process.Start(
                new ProcessStartInfo("pdftoppm", ["-r", "40", "-gray", path, Path.Combine(folder, "sheet")])
                {
                    UseShellExecute = false,
                }
            )!;
            process.WaitForExit();
            return
            [
                .. Directory.EnumerateFiles(folder, "*.pgm").Order(StringComparer.Ordinal).Select(File.ReadAllBytes),
            ];
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return null;
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    private static byte[] Write(ReportContent content, Paper paper)
    {
        using MemoryStream stream = new();
        HandoverStage.WritePdf(content, paper, stream);
        return stream.ToArray();
    }
}
