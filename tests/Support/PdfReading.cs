using System.Diagnostics;
using System.Globalization;
using System.Text;

namespace Hillrow.TestSupport;

/// <summary>What poppler, which knows nothing of us, reads in a PDF.</summary>
public static class PdfReading
{
    /// <param name="file">The PDF.</param>
    /// <param name="arguments">Of pdftotext, before the file's name.</param>
    /// <returns>Null where there is no pdftotext.</returns>
    public static string? TextOf(byte[] file, params string[] arguments)
    {
        string path = Path.Combine(
            Path.GetTempPath(),
            string.Create(CultureInfo.InvariantCulture, $"hillrow-sheets-{Guid.NewGuid():N}.pdf")
        );
        File.WriteAllBytes(path, file);
        try
        {
            using Process process = Process.Start(
                new ProcessStartInfo("pdftotext", [.. arguments, path, "-"])
                {
                    UseShellExecute = false,
                    RedirectStandardOutput = true,
                    StandardOutputEncoding = Encoding.UTF8,
                }
            )!;
            string text = process.StandardOutput.ReadToEnd();
            process.WaitForExit();
            return text;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return null;
        }
        finally
        {
            File.Delete(path);
        }
    }
}
