using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>Every TIFF, EXIF, GPS and XMP property of a picture file (or of one page of it), exact.</summary>
public sealed class PropertyBag
{
    /// <summary>Values of one property and of all together; longer ones (maker notes, thumbnails) are told, not kept.</summary>
    private const int MostBytesPerValue = 1 << 20;
    private const long MostBytesInAll = 32L << 20;
    private const string XmpNote = "http://ns.adobe.com/xmp/note/";
    private const int JpegHeadBytes = 256 << 10;

    private readonly Dictionary<PropertyKey, PropertyValue> properties = [];
    private readonly List<string> complaints = [];
    private PropertyBag? first;
    private long bytes;

    private PropertyBag(string name) => Name = name;

    /// <summary>Path of the file, for messages.</summary>
    public string Name { get; }

    /// <summary>What the page itself says.</summary>
    public IReadOnlyDictionary<PropertyKey, PropertyValue> Properties => properties;

    /// <summary>What could not be read though the rest could: one line each.</summary>
    public IReadOnlyList<string> Complaints => complaints;

    /// <summary>A property of the page, or else of the file's first page; null when neither has it.</summary>
    public PropertyValue? Find(PropertyKey key) =>
        properties.GetValueOrDefault(key) ?? first?.properties.GetValueOrDefault(key);

    /// <summary>Properties of the file's first page.</summary>
    /// <exception cref="InputProblemException">No such file, neither TIFF nor JPEG, cut short or damaged at its root.</exception>
    public static PropertyBag Read(string path) => ReadPages(path)[0];

    /// <summary>
    /// Properties of every page that is a picture, in order. What a later page does not say itself,
    /// <see cref="Find"/> takes from the first page: cameras with one page a band write common things once.
    /// </summary>
    /// <exception cref="InputProblemException">As <see cref="Read"/>.</exception>
    public static IReadOnlyList<PropertyBag> ReadPages(string path) => ReadPages(ByteSource.FromFile(path));

    /// <exception cref="InputProblemException">As <see cref="Read"/>.</exception>
    public static IReadOnlyList<PropertyBag> ReadPages(ReadOnlyMemory<byte> content, string name) =>
        ReadPages(ByteSource.FromMemory(content, name));

    /// <param name="source">Disposed before this returns.</param>
    /// <exception cref="InputProblemException">As <see cref="Read"/>.</exception>
    public static IReadOnlyList<PropertyBag> ReadPages(ByteSource source)
    {
        ArgumentNullException.ThrowIfNull(source);
        using (source)
        {
            Span<byte> head = stackalloc byte[4];
            int got = source.ReadAt(0, head);
            if (JpegStructure.LooksLikeJpeg(head[..got]))
            {
                return [ReadJpeg(source)];
            }

            if (got > 0 && !TiffFile.LooksLikeTiff(head[..got]))
            {
                throw new InputProblemException(
                    source.Name,
                    $"it is neither a TIFF nor a JPEG file (it starts with {Convert.ToHexString(head[..got])}).",
                    "Give frames as TIFF or JPEG, or copy the file from the card again."
                );
            }

            using TiffFile file = TiffFile.Open(source);
            return ReadTiff(file);
        }
    }

    private static List<PropertyBag> ReadTiff(TiffFile file)
    {
        List<PropertyBag> pages = [];
        foreach (TiffDirectory directory in file.Directories)
        {
            if (pages.Count > 0 && IsReduced(directory))
            {
                continue;
            }

            PropertyBag bag = new(file.Name);
            if (pages.Count > 0)
            {
                // Shares the first page's budget, so that many pages cannot multiply it.
                bag.bytes = pages[^1].bytes;
            }

            bag.AddDirectories(directory);
            bag.Try(() => directory.Xmp() is { } packet ? packet : null, bag.AddXmp);
            if (pages.Count > 0)
            {
                bag.first = pages[0];
            }

            pages.Add(bag);
        }

        return pages;
    }

    private static PropertyBag ReadJpeg(ByteSource source)
    {
        PropertyBag bag = new(source.Name);
        // Metadata stand at the start; the rest is read only when the first scan does not begin within the head.
        byte[] content = new byte[Math.Min(source.Length, JpegHeadBytes)];
        source.ReadExactly(0, content, "the file");
        JpegStructure structure;
        try
        {
            structure = JpegStructure.WalkHead(content, source.Name);
        }
        catch (InputProblemException) when (content.Length < source.Length)
        {
            content = new byte[Math.Min(source.Length, 64 << 20)];
            source.ReadExactly(0, content, "the file");
            structure = JpegStructure.WalkHead(content, source.Name);
        }

        if (JpegMetadata.Exif(content, structure) is { } block)
        {
            bag.Try<object>(
                () =>
                {
                    using TiffFile exif = TiffFile.Open(block, source.Name);
                    bag.AddDirectories(exif.Directories[0]);
                    return null;
                },
                static _ => { }
            );
        }

        if (JpegMetadata.Xmp(content, structure) is { } packet)
        {
            bag.AddXmp(packet);
            if (
                bag.Find(PropertyKey.Xmp(XmpNote, "HasExtendedXMP")) is { } guid
                && JpegMetadata.ExtendedXmp(content, structure, guid.Text(0)) is { } second
            )
            {
                bag.AddXmp(second);
            }
        }

        return bag;
    }

    private static bool IsReduced(TiffDirectory directory)
    {
        try
        {
            return ((directory.Integer(TiffTags.NewSubfileType) ?? 0) & 5) != 0;
        }
        catch (InputProblemException)
        {
            return false;
        }
    }

    private void AddDirectories(TiffDirectory directory)
    {
        Add(PropertySource.Tiff, directory);
        Try(directory.Exif, child => Add(PropertySource.Exif, child));
        Try(directory.Gps, child => Add(PropertySource.Gps, child));
    }

    private void Add(PropertySource source, TiffDirectory directory)
    {
        foreach (TiffEntry entry in directory.Entries)
        {
            PropertyKey key = new(source, entry.Tag, "", "");
            if (IsStructure(source, entry.Tag) || properties.ContainsKey(key))
            {
                continue;
            }

            long cost =
                (entry.ByteLength ?? long.MaxValue) is var length && length > MostBytesPerValue
                    ? long.MaxValue
                    : length * 8;
            if (cost > MostBytesInAll - bytes)
            {
                Complain($"{key} is too long to keep ({entry.Count} values).");
                continue;
            }

            bytes += cost;
            Try(() => Value(entry), value => properties[key] = value);
        }
    }

    /// <summary>Pointers to other tables, and the packet that is read into properties of its own.</summary>
    private static bool IsStructure(PropertySource source, int tag) =>
        source == PropertySource.Tiff
            ? tag is TiffTags.ExifDirectory or TiffTags.GpsDirectory or TiffTags.Xmp or TiffTags.SubDirectories
            : source == PropertySource.Exif && tag == TiffTags.InteroperabilityDirectory;

    private static PropertyValue? Value(TiffEntry entry)
    {
        if (TiffValueTypes.SizeOf(entry.Type) == 0)
        {
            return null;
        }

        return entry switch
        {
            { IsText: true } => PropertyValue.OfTexts(entry.ReadTexts()),
            { IsRational: true } => PropertyValue.OfRationals(entry.ReadRationals()),
            { IsReal: true } => PropertyValue.OfReals(entry.ReadDoubles()),
            { IsInteger: true } => PropertyValue.OfIntegers(entry.ReadIntegers()),
            _ => PropertyValue.OfBytes(entry.ReadBytes()),
        };
    }

    private void AddXmp(byte[] packet)
    {
        // Parsed properties take some four times the packet's bytes; pages may all point at the same packet.
        if (packet.Length * 4L > MostBytesInAll - bytes)
        {
            Complain(FormattableString.Invariant($"XMP packet of {packet.Length} bytes is too long to keep."));
            return;
        }

        bytes += packet.Length * 4L;
        Try(
            () => XmpReader.Read(packet, Name),
            read =>
            {
                foreach ((PropertyKey key, PropertyValue value) in read)
                {
                    properties.TryAdd(key, value);
                }
            }
        );
    }

    /// <summary>One damaged part must not hide the others.</summary>
    private void Try<T>(Func<T?> read, Action<T> use)
        where T : class
    {
        try
        {
            if (read() is { } found)
            {
                use(found);
            }
        }
        catch (InputProblemException problem)
        {
            Complain(problem.Problem);
        }
    }

    private void Complain(string line)
    {
        const int most = 20;
        if (complaints.Count < most)
        {
            complaints.Add(line);
        }
    }
}
