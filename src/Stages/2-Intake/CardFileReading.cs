using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>One file of a card, read once: its frames, what is wrong with it, and how its pixels look.</summary>
/// <remarks>Meant for the way from the card: whoever copies a file has its bytes in memory and need not read it again.</remarks>
public sealed record CardFileReading
{
    internal CardFileReading() { }

    /// <summary>Relative to the survey's root, with forward slashes.</summary>
    public required string File { get; init; }

    /// <summary>Length of the file.</summary>
    public required long Bytes { get; init; }

    /// <summary>Lower-case hexadecimal, when the reader took it.</summary>
    public string? Sha256 { get; init; }

    /// <summary>By page; only of pages that are frames of this camera.</summary>
    public IReadOnlyList<PageLook> Looks { get; init; } = [];

    /// <summary>What is wrong with the file, one line each; empty for a good one.</summary>
    public IReadOnlyList<string> Problems =>
        [
            .. Notes.Where(note => note.Weight != NoteWeight.Told).Select(note => note.ToString()),
            .. Looks.Where(look => look.Problem is not null).Select(look => $"{File}: {look.Problem}"),
        ];

    internal IReadOnlyList<CardFrame> Frames { get; init; } = [];

    internal IReadOnlyList<IntakeNote> Notes { get; init; } = [];

    /// <summary>Reads metadata and, if asked, looks at every pixel. Thread-safe; throws nothing that a file can cause.</summary>
    /// <param name="profile">Of the camera.</param>
    /// <param name="file">Relative to the survey's root, with forward slashes.</param>
    /// <param name="content">The whole file; not kept.</param>
    /// <param name="sha256">Of the content, when known.</param>
    /// <param name="look">Whether the pixels are looked at.</param>
    public static CardFileReading Of(
        CameraProfile profile,
        string file,
        ReadOnlyMemory<byte> content,
        string? sha256 = null,
        bool look = true
    )
    {
        ArgumentNullException.ThrowIfNull(profile);
        ArgumentNullException.ThrowIfNull(file);
        CardFileReading read = Of(profile, file, null, () => ByteSource.FromMemory(content, file)) with
        {
            Sha256 = sha256,
        };
        return look
            ? read with
            {
                Looks = FrameLooking.AtAll(profile, read.Frames, () => PictureFile.Open(content, file)),
            }
            : read;
    }

    /// <summary>Metadata only.</summary>
    /// <param name="path">On disk; null when the content comes from elsewhere.</param>
    /// <param name="open">Opens the bytes anew.</param>
    internal static CardFileReading Of(CameraProfile profile, string file, string? path, Func<ByteSource> open)
    {
        List<CardFrame> frames = [];
        List<IntakeNote> notes = [];
        long bytes = 0;
        try
        {
            ByteSource source = open();
            bytes = source.Length;
            bool closed = IsClosed(source);
            IReadOnlyList<PropertyBag> pages = PropertyBag.ReadPages(source);
            for (int page = 0; page < pages.Count; page++)
            {
                if (FrameFitness.CutShort(pages[page], bytes, closed) is { } cut)
                {
                    notes.Add(cut(file));
                    continue;
                }

                FrameMetadata metadata = profile.Metadata.Evaluate(pages[page], file);
                CameraMark mark = CameraMark.Of(pages[page], metadata);
                // A colour picture is a frame of every band; what its name says of bands means nothing.
                IReadOnlyList<string> bands =
                    profile.IsColour ? [.. profile.Bands.Select(one => one.Name)]
                    : BandIdentity.Of(profile, metadata, file, page, pages.Count, notes, mark) is { } band ? [band]
                    : [];
                if (bands.Count == 0)
                {
                    continue;
                }

                if (FrameFitness.OtherSize(pages[page], profile.Band(bands[0]), mark) is { } fault)
                {
                    notes.Add(fault(file));
                    continue;
                }

                notes.AddRange(
                    metadata.Complaints.Select(line => new IntakeNote(
                        NoteWeight.Told,
                        file,
                        line.TrimEnd('.') + ".",
                        "Check the camera profile's metadata map."
                    ))
                );
                FrameMetadata told = metadata with { SatelliteTime = Satellite(pages[page], metadata) };
                int at = page;
                frames.AddRange(bands.Select(name => new CardFrame(file, path, at, bytes, name, told) { Mark = mark }));
            }
        }
        catch (InputProblemException fault)
        {
            notes.Add(
                new IntakeNote(NoteWeight.Excluded, file, $"cannot be read: {fault.Problem}", fault.Remedy)
                {
                    Fault = FrameFault.Unreadable,
                }
            );
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            notes.Add(CannotOpen(file));
        }

        return new CardFileReading
        {
            File = file,
            Bytes = bytes,
            Frames = frames,
            Notes = notes,
        };
    }

    internal static IntakeNote CannotOpen(string file) =>
        new(
            NoteWeight.Excluded,
            file,
            "the file cannot be opened.",
            "Check that it may be read, or copy it from the card again."
        )
        {
            Fault = FrameFault.Unreadable,
        };

    /// <summary>
    /// A map that names no satellite time leaves out what the EXIF standard itself puts into its GPS tags, in UTC (EXIF
    /// 2.32, tags 7 and 29).
    /// </summary>
    private static RecordedTime? Satellite(PropertyBag page, FrameMetadata metadata) =>
        metadata.SatelliteTime ?? StandardSatelliteTime.Evaluate(page, page.Name).SatelliteTime;

    private static readonly MetadataMap StandardSatelliteTime = new()
    {
        SatelliteTime = MetadataMap.Standard.SatelliteTime,
    };

    /// <summary>Whether a JPEG has its closing marker; true for everything else.</summary>
    private static bool IsClosed(ByteSource source)
    {
        Span<byte> ends = stackalloc byte[4];
        int head = source.ReadAt(0, ends);
        if (!JpegStructure.LooksLikeJpeg(ends[..head]))
        {
            return true;
        }

        Span<byte> tail = ends[..2];
        if (source.ReadAt(source.Length - 2, tail) == 2 && tail[0] == 0xFF && tail[1] == 0xD9)
        {
            return true;
        }

        // Some cameras write something behind the picture: then the whole file is walked.
        const long MostBytes = 256L << 20;
        if (source.Length > MostBytes)
        {
            return true;
        }

        byte[] all = new byte[source.Length];
        source.ReadExactly(0, all, "the file");
        return JpegStructure.Walk(all, source.Name).IsClosed;
    }
}
