using System.Reflection;
using PdfSharp.Drawing;
using PdfSharp.Fonts;

namespace Hillrow.Sheets;

/// <summary>The program's own faces, so that a PDF needs no font of the machine.</summary>
public sealed class SheetFonts : IFontResolver
{
    private const string Family = "Open Sans";
    private const string Plain = "OpenSans-Regular";
    private const string Heavy = "OpenSans-Bold";
    private static readonly Lock Setting = new();

    private SheetFonts() { }

    /// <param name="points">Size.</param>
    /// <param name="bold">Or regular.</param>
    public static XFont Of(double points, bool bold = false)
    {
        lock (Setting)
        {
            // The library keeps one resolver for the process.
            GlobalFontSettings.FontResolver ??= new SheetFonts();
        }

        return new XFont(
            Family,
            points,
            bold ? XFontStyleEx.Bold : XFontStyleEx.Regular,
            // One encoding for all texts: every letter has its Unicode beside it and can be searched and copied.
            new XPdfFontOptions(PdfSharp.Pdf.PdfFontEncoding.Unicode)
        );
    }

    public FontResolverInfo? ResolveTypeface(string familyName, bool bold, bool italic) => new(bold ? Heavy : Plain);

    public byte[] GetFont(string faceName)
    {
        using Stream stream =
            Assembly.GetExecutingAssembly().GetManifestResourceStream($"Hillrow.Sheets.Fonts.{faceName}.ttf")
            ?? throw new InvalidOperationException($"The face {faceName} is not in the program.");
        byte[] face = new byte[stream.Length];
        stream.ReadExactly(face);
        return face;
    }
}
