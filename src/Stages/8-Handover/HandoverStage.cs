using Hillrow.Numerics;

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
}
