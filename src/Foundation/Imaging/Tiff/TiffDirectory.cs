using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>One image file directory: a page, an overview, or a table of EXIF or GPS values.</summary>
public sealed class TiffDirectory
{
    private readonly Dictionary<int, TiffEntry> byTag;

    internal TiffDirectory(TiffFile file, long offset, IReadOnlyList<TiffEntry> entries, long nextOffset)
    {
        File = file;
        Offset = offset;
        Entries = entries;
        NextOffset = nextOffset;
        byTag = new Dictionary<int, TiffEntry>(entries.Count);
        foreach (TiffEntry entry in entries)
        {
            // A tag must not come twice; where it does, the first one counts, as in other readers.
            byTag.TryAdd(entry.Tag, entry);
        }
    }

    public TiffFile File { get; }

    /// <summary>Byte position of the directory in the file.</summary>
    public long Offset { get; }

    /// <summary>In the file's order, repeated tags included.</summary>
    public IReadOnlyList<TiffEntry> Entries { get; }

    internal long NextOffset { get; }

    public bool Has(int tag) => byTag.ContainsKey(tag);

    public TiffEntry? Find(int tag) => byTag.GetValueOrDefault(tag);

    /// <summary>First whole number of a tag, or null when the tag is absent or empty.</summary>
    /// <exception cref="InputProblemException">The tag is there but is no whole number or lies outside the file.</exception>
    public long? Integer(int tag) => Find(tag)?.ReadInteger();

    /// <summary>Whole numbers of a tag; empty when the tag is absent.</summary>
    public long[] Integers(int tag) => Find(tag)?.ReadIntegers() ?? [];

    /// <summary>Numbers of a tag as doubles; empty when the tag is absent.</summary>
    public double[] Doubles(int tag) => Find(tag)?.ReadDoubles() ?? [];

    /// <summary>Text of a tag, or null when the tag is absent.</summary>
    public string? Text(int tag) => Find(tag)?.ReadText();

    /// <summary>The directory of EXIF values (tag 34665), or null.</summary>
    public TiffDirectory? Exif() => Child(TiffTags.ExifDirectory);

    /// <summary>The directory of GPS values (tag 34853), or null.</summary>
    public TiffDirectory? Gps() => Child(TiffTags.GpsDirectory);

    /// <summary>Directories listed by tag 330 (some files keep reduced pictures there), at most 64.</summary>
    public IReadOnlyList<TiffDirectory> SubDirectories()
    {
        const int most = 64;
        if (Find(TiffTags.SubDirectories) is not { } entry)
        {
            return [];
        }

        long[] offsets = entry.ReadIntegers();
        return offsets.Length <= most
            ? [.. offsets.Distinct().Select(File.ReadDirectory)]
            : throw File.Damaged(
                FormattableString.Invariant($"tag 330 lists {offsets.Length} directories, above {most}.")
            );
    }

    /// <summary>The XMP packet (tag 700) as bytes, or null.</summary>
    public byte[]? Xmp() => Find(TiffTags.Xmp)?.ReadBytes();

    private TiffDirectory? Child(int tag) =>
        Find(tag) is { } entry && entry.ReadInteger() is { } offset and > 0 ? File.ReadDirectory(offset) : null;
}
