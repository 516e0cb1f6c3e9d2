namespace Hillrow.Imaging;

/// <summary>How large a picture may be before it is called absurd.</summary>
/// <param name="SampleBytes">
/// Memory for the samples of one page as held (2 bytes a count, 4 a float). 512 MiB holds 268 megapixels of one
/// band, twice the largest frame cameras; together with a block being decoded this stays below 1 GiB.
/// </param>
/// <param name="BlockBytes">Memory for one strip or tile while it is decoded.</param>
/// <param name="Tiff">Limits of the directories.</param>
public sealed record PictureLimits(long SampleBytes = 512L << 20, int BlockBytes = 256 << 20, TiffLimits? Tiff = null)
{
    public static PictureLimits Default { get; } = new();
}
