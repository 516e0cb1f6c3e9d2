using Hillrow.Numerics;
using Hillrow.Sheets;

namespace Hillrow.Handover;

/// <summary>The door of the stage: content in, the grower's page out.</summary>
public static class HandoverStage
{
    /// <summary>Writes the report as one self-contained HTML page, UTF-8; same content, same bytes.</summary>
    /// <exception cref="InputProblemException">The language is not one of <see cref="ReportTexts.Languages"/>.</exception>
    public static void WriteHtml(ReportContent content, Stream destination)
    {
        ArgumentNullException.ThrowIfNull(content);
        ArgumentNullException.ThrowIfNull(destination);
        string page = new ReportPage(content, ReportTexts.Of(content.Language)).Compose();
        destination.Write(System.Text.Encoding.UTF8.GetBytes(page));
    }

    /// <summary>
    /// Writes the report as a tagged PDF with its own faces, all text selectable; same content and paper, same bytes.
    /// </summary>
    /// <exception cref="InputProblemException">The language is not one of <see cref="ReportTexts.Languages"/>.</exception>
    public static void WritePdf(ReportContent content, Paper paper, Stream destination)
    {
        ArgumentNullException.ThrowIfNull(content);
        ArgumentNullException.ThrowIfNull(paper);
        ArgumentNullException.ThrowIfNull(destination);
        destination.Write(new ReportPdf(content, ReportTexts.Of(content.Language), paper).Compose());
    }
}
