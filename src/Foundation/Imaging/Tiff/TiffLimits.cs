namespace Hillrow.Imaging;

/// <summary>How much of a file's own claims the TIFF reader believes before it calls the file damaged.</summary>
/// <param name="Directories">Directories in the main chain; 10,000 pages are far above any camera or raster.</param>
/// <param name="EntriesPerDirectory">Entries in one directory; real files hold some tens, odd ones some hundreds.</param>
/// <param name="EntriesInChain">Entries in all directories of the main chain together (about 64 bytes of memory each).</param>
/// <param name="ValueBytes">Bytes of one entry's values; 64 MiB holds the tile offsets of a raster of 2 terapixels.</param>
public sealed record TiffLimits(
    int Directories = 10_000,
    int EntriesPerDirectory = 4_096,
    int EntriesInChain = 500_000,
    int ValueBytes = 64 << 20
)
{
    public static TiffLimits Default { get; } = new();
}
