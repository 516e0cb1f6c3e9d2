namespace Hillrow.Sheets;

/// <summary>What a document is printed on.</summary>
/// <param name="Name">"a4", "letter".</param>
/// <param name="WidthMillimetres">Upright.</param>
/// <param name="HeightMillimetres">Upright.</param>
public sealed record Paper(string Name, double WidthMillimetres, double HeightMillimetres)
{
    /// <summary>ISO 216.</summary>
    public static Paper A4 { get; } = new("a4", 210, 297);

    /// <summary>ANSI/ASME Y14.1 size A.</summary>
    public static Paper Letter { get; } = new("letter", 215.9, 279.4);

    public static IReadOnlyList<Paper> All { get; } = [A4, Letter];
}
