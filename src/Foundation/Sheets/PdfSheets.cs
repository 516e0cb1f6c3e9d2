using System.Globalization;
using PdfSharp.Drawing;
using PdfSharp.Pdf;
using PdfSharp.UniversalAccessibility;

namespace Hillrow.Sheets;

/// <summary>The sheets of a PDF that is being written from top to bottom; lengths in points (1/72 inch).</summary>
public sealed class PdfSheets : IDisposable
{
    private const double Margin = 40;
    private const double FootHeight = 22;

    private readonly Paper paper;
    private readonly string foot;
    private readonly UAManager tags;
    private XGraphics? graphics;

    /// <param name="paper">Size.</param>
    /// <param name="title">Of the document.</param>
    /// <param name="language">ISO 639-1.</param>
    /// <param name="day">Stands for the document's date, so that the same content gives the same bytes.</param>
    public PdfSheets(Paper paper, string title, string language, DateOnly day)
    {
        this.paper = paper;
        foot = title;
        Document = new PdfDocument();
        Document.Options.CompressContentStreams = true;
        Document.Info.Title = title;
        Document.Info.Creator = "Hillrow";
        DateTime moment = day.ToDateTime(TimeOnly.MinValue, DateTimeKind.Utc);
        Document.Info.CreationDate = moment;
        Document.Info.ModificationDate = moment;
        tags = UAManager.ForDocument(Document);
        tags.SetDocumentLanguage(language);
        NewSheet();
    }

    public PdfDocument Document { get; }

    public XGraphics Graphics => graphics ?? throw new ObjectDisposedException(nameof(PdfSheets));

    public StructureBuilder Tags => tags.StructureBuilder;

    public double Left => Margin;

    public double Width => XUnit.FromMillimeter(paper.WidthMillimetres).Point - (2 * Margin);

    /// <summary>Where the next part begins.</summary>
    public double Y { get; private set; }

    /// <summary>Room below <see cref="Y"/>.</summary>
    public double Room => Bottom - Y;

    public double WholeHeight => Bottom - Margin;

    private double Bottom => XUnit.FromMillimeter(paper.HeightMillimetres).Point - Margin - FootHeight;

    public void Advance(double height) => Y += height;

    /// <summary>Goes to a new sheet unless so much room is left.</summary>
    public void Need(double height)
    {
        if (Room < height && Y > Margin)
        {
            NewSheet();
        }
    }

    public void NewSheet()
    {
        graphics?.Dispose();
        PdfPage page = Document.AddPage();
        page.Width = XUnit.FromMillimeter(paper.WidthMillimetres);
        page.Height = XUnit.FromMillimeter(paper.HeightMillimetres);
        graphics = XGraphics.FromPdfPage(page);
        Y = Margin;
        Tags.BeginArtifact();
        XFont font = SheetFonts.Of(7.5);
        double line = Bottom + 16;
        graphics.DrawString(foot, font, XBrushes.DimGray, Left, line);
        graphics.DrawString(
            Document.PageCount.ToString(CultureInfo.InvariantCulture),
            font,
            XBrushes.DimGray,
            new XPoint(Left + Width, line),
            XStringFormats.BaseLineRight
        );
        Tags.End();
    }

    public void Dispose()
    {
        graphics?.Dispose();
        graphics = null;
        Document.Dispose();
    }
}
