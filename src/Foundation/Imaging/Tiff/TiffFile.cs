using System.Buffers.Binary;
using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>
/// A TIFF or BigTIFF file of either byte order, opened: its chain of directories, with values read on demand.
/// Counts, offsets and sizes in the file are claims: each is checked before memory or time is spent on it.
/// </summary>
/// <remarks>
/// Sources: TIFF Revision 6.0 (Adobe Systems 1992); BigTIFF design (Aware Systems / libtiff 2004–2007, from
/// memory): version 43, 8-byte offsets, 8-byte entry count, 20-byte entries. Reads from several threads are safe.
/// </remarks>
public sealed class TiffFile : IDisposable
{
    private const string Remedy = "Copy it from the card again; if the card's own file is the same, leave it out.";

    private readonly ByteSource source;
    private readonly bool bigEndian;

    private TiffFile(ByteSource source, TiffLimits limits)
    {
        this.source = source;
        Limits = limits;
        Span<byte> head = stackalloc byte[16];
        int got = source.ReadAt(0, head);
        head = head[..got];
        if (got == 0)
        {
            throw Problem("the file is empty.");
        }

        if (!LooksLikeTiff(head))
        {
            throw new InputProblemException(
                Name,
                $"it is no TIFF file (it starts with {Convert.ToHexString(head[..Math.Min(4, got)])}).",
                "Give a TIFF file, or copy it from the card again."
            );
        }

        bigEndian = head[0] == 'M';
        IsBigTiff = UInt16(head[2..]) == 43;
        if (got < (IsBigTiff ? 16 : 8))
        {
            throw Problem("it ends within its header: it is cut short.");
        }

        if (IsBigTiff && (UInt16(head[4..]) != 8 || UInt16(head[6..]) != 0))
        {
            throw Damaged("its BigTIFF header is not one that is defined.");
        }

        Directories = ReadChain(IsBigTiff ? SignedOffset(UInt64(head[8..])) : UInt32(head[4..]));
    }

    /// <summary>What messages call it, normally the file's path.</summary>
    public string Name => source.Name;

    /// <summary>Bytes in the file.</summary>
    public long Length => source.Length;

    public bool IsBigTiff { get; }

    /// <summary>True for "MM" files.</summary>
    public bool IsBigEndian => bigEndian;

    /// <summary>The main chain, in order: pages, and in rasters their overviews and masks. At least one.</summary>
    public IReadOnlyList<TiffDirectory> Directories { get; }

    internal TiffLimits Limits { get; }

    /// <summary>Bytes of the value field of an entry: 4, or 8 in BigTIFF.</summary>
    internal int OffsetSize => IsBigTiff ? 8 : 4;

    private int EntrySize => IsBigTiff ? 20 : 12;

    /// <exception cref="InputProblemException">No such file, no TIFF, cut short, or damaged.</exception>
    public static TiffFile Open(string path, TiffLimits? limits = null) => Open(ByteSource.FromFile(path), limits);

    /// <param name="stream">Seekable; stays the caller's and must outlive the result.</param>
    /// <param name="name">What messages call it.</param>
    /// <exception cref="InputProblemException">No TIFF, cut short, or damaged.</exception>
    public static TiffFile Open(Stream stream, string name, TiffLimits? limits = null) =>
        Open(ByteSource.FromStream(stream, name), limits);

    /// <exception cref="InputProblemException">No TIFF, cut short, or damaged.</exception>
    public static TiffFile Open(ReadOnlyMemory<byte> bytes, string name, TiffLimits? limits = null) =>
        Open(ByteSource.FromMemory(bytes, name), limits);

    /// <param name="source">Belongs to the result from now on, also when this throws.</param>
    /// <exception cref="InputProblemException">No TIFF, cut short, or damaged.</exception>
    public static TiffFile Open(ByteSource source, TiffLimits? limits = null)
    {
        ArgumentNullException.ThrowIfNull(source);
        try
        {
            return new TiffFile(source, limits ?? TiffLimits.Default);
        }
        catch
        {
            source.Dispose();
            throw;
        }
    }

    /// <summary>True when the bytes start like a TIFF or BigTIFF file.</summary>
    public static bool LooksLikeTiff(ReadOnlySpan<byte> head) =>
        head.Length >= 4
        && (
            head[..4].SequenceEqual("II*\0"u8)
            || head[..4].SequenceEqual("MM\0*"u8)
            || head[..4].SequenceEqual("II+\0"u8)
            || head[..4].SequenceEqual("MM\0+"u8)
        );

    /// <summary>Fills the buffer from that byte of the file on.</summary>
    /// <param name="what">Named in the message when the file ends before, for instance "strip 12 of page 1".</param>
    /// <exception cref="InputProblemException">The file ends before.</exception>
    public void ReadExactly(long offset, Span<byte> buffer, string what) => source.ReadExactly(offset, buffer, what);

    /// <summary>Reads what there is from that byte of the file on; fewer bytes than asked only at the end.</summary>
    public int ReadAt(long offset, Span<byte> buffer) => source.ReadAt(offset, buffer);

    /// <summary>The message of a file whose content contradicts itself.</summary>
    public InputProblemException Damaged(string problem) => new(Name, $"{problem} The file is damaged.", Remedy);

    public void Dispose() => source.Dispose();

    internal ushort UInt16(ReadOnlySpan<byte> bytes) =>
        bigEndian ? BinaryPrimitives.ReadUInt16BigEndian(bytes) : BinaryPrimitives.ReadUInt16LittleEndian(bytes);

    internal uint UInt32(ReadOnlySpan<byte> bytes) =>
        bigEndian ? BinaryPrimitives.ReadUInt32BigEndian(bytes) : BinaryPrimitives.ReadUInt32LittleEndian(bytes);

    internal ulong UInt64(ReadOnlySpan<byte> bytes) =>
        bigEndian ? BinaryPrimitives.ReadUInt64BigEndian(bytes) : BinaryPrimitives.ReadUInt64LittleEndian(bytes);

    internal void PutUInt32(Span<byte> bytes, uint value)
    {
        if (bigEndian)
        {
            BinaryPrimitives.WriteUInt32BigEndian(bytes, value);
        }
        else
        {
            BinaryPrimitives.WriteUInt32LittleEndian(bytes, value);
        }
    }

    internal void PutUInt64(Span<byte> bytes, ulong value)
    {
        if (bigEndian)
        {
            BinaryPrimitives.WriteUInt64BigEndian(bytes, value);
        }
        else
        {
            BinaryPrimitives.WriteUInt64LittleEndian(bytes, value);
        }
    }

    /// <summary>Reads one directory outside the main chain; what it names as its follower is ignored.</summary>
    internal TiffDirectory ReadDirectory(long offset)
    {
        int countSize = IsBigTiff ? 8 : 2;
        int entrySize = EntrySize;
        Span<byte> head = stackalloc byte[8];
        ReadExactly(offset, head[..countSize], "a directory");
        ulong count = IsBigTiff ? UInt64(head) : UInt16(head);
        if (count == 0 || count > (ulong)Limits.EntriesPerDirectory)
        {
            throw Damaged(
                FormattableString.Invariant(
                    $"the directory at byte {offset} claims {count} entries (1 to {Limits.EntriesPerDirectory} are possible)."
                )
            );
        }

        byte[] table = new byte[((int)count * entrySize) + OffsetSize];
        int got = source.ReadAt(offset + countSize, table);
        if (got < (int)count * entrySize)
        {
            throw Problem(
                FormattableString.Invariant($"it ends within the directory at byte {offset}: it is cut short.")
            );
        }

        TiffEntry[] entries = new TiffEntry[(int)count];
        for (int i = 0; i < entries.Length; i++)
        {
            ReadOnlySpan<byte> entry = table.AsSpan(i * entrySize, entrySize);
            entries[i] = new TiffEntry(
                this,
                UInt16(entry),
                (TiffValueType)UInt16(entry[2..]),
                IsBigTiff ? UInt64(entry[4..]) : UInt32(entry[4..]),
                IsBigTiff ? UInt64(entry[12..]) : UInt32(entry[8..])
            );
        }

        // A table of EXIF values may end the file without this field, which only the main chain uses.
        ReadOnlySpan<byte> next = table.AsSpan((int)count * entrySize);
        long follower =
            got < table.Length ? long.MaxValue
            : IsBigTiff ? SignedOffset(UInt64(next))
            : UInt32(next);
        return new TiffDirectory(this, offset, entries, follower);
    }

    private List<TiffDirectory> ReadChain(long first)
    {
        if (first == 0)
        {
            throw Damaged("it has no directory.");
        }

        List<TiffDirectory> chain = [];
        HashSet<long> seen = [];
        long entries = 0;
        for (long offset = first; offset != 0; )
        {
            if (!seen.Add(offset))
            {
                throw Damaged(FormattableString.Invariant($"its directories run in a circle at byte {offset}."));
            }

            if (chain.Count == Limits.Directories)
            {
                throw Damaged(FormattableString.Invariant($"it has more than {Limits.Directories} directories."));
            }

            if (offset >= Length)
            {
                throw Problem(
                    FormattableString.Invariant(
                        $"directory {chain.Count + 1} should lie at byte {offset}, but the file has only {Length} bytes: it is cut short or damaged."
                    )
                );
            }

            TiffDirectory directory = ReadDirectory(offset);
            entries += directory.Entries.Count;
            if (entries * EntrySize > Length || entries > Limits.EntriesInChain)
            {
                throw Damaged(
                    FormattableString.Invariant(
                        $"its first {chain.Count + 1} directories claim {entries} entries: they overlap or are absurd."
                    )
                );
            }

            chain.Add(directory);
            offset = directory.NextOffset;
        }

        return chain;
    }

    private static long SignedOffset(ulong offset) => offset <= long.MaxValue ? (long)offset : long.MaxValue;

    private InputProblemException Problem(string problem) => new(Name, problem, Remedy);
}
