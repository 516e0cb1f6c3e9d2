namespace Hillrow.Imaging;

/// <summary>What a picture's numbers are in the file.</summary>
public enum SampleForm
{
    /// <summary>Unsigned whole numbers, 1 … 32 bits: counts.</summary>
    Unsigned,

    /// <summary>Signed whole numbers, 8, 16 or 32 bits.</summary>
    Signed,

    /// <summary>IEEE 754 numbers of 16, 32 or 64 bits.</summary>
    Float,
}

/// <summary>Shape and kind of one page, known without reading its pixels.</summary>
/// <param name="Page">0 for the first page of the file.</param>
/// <param name="Rows">Rows as stored, whatever the orientation says.</param>
/// <param name="Columns">Columns as stored.</param>
/// <param name="Bands">Samples of a pixel; red, green, blue for a colour JPEG.</param>
/// <param name="BitsPerSample">As the file states: a 12-bit sensor's counts may also come in 16 bits.</param>
/// <param name="Form">Kind of number.</param>
/// <param name="Orientation">1 … 8 as in TIFF tag 274: 1 means row 0 is the top and column 0 the left. Told, not applied.</param>
/// <param name="Photometric">TIFF tag 262: 0 white is zero, 1 black is zero, 2 colours, 3 palette; told, not applied.</param>
public sealed record PictureInfo(
    int Page,
    int Rows,
    int Columns,
    int Bands,
    int BitsPerSample,
    SampleForm Form,
    int Orientation,
    int Photometric
)
{
    /// <summary>Rows × Columns × Bands.</summary>
    public long SampleCount => (long)Rows * Columns * Bands;

    /// <summary>True when every sample fits a 16-bit count; otherwise samples are read as floats.</summary>
    public bool IsCounts => Form == SampleForm.Unsigned && BitsPerSample <= 16;
}
