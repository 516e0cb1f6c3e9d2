using System.Buffers.Binary;
using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>The segments of a JPEG file (ITU-T T.81, annex B), walked without decoding.</summary>
public sealed class JpegStructure
{
    // Enough for the longest file of metadata we know of (extended XMP of some MiB) in pieces of 64 KiB.
    private const int MostSegments = 4_096;

    private JpegStructure(IReadOnlyList<JpegSegment> segments) => Segments = segments;

    /// <summary>Marker segments with content, in order.</summary>
    public IReadOnlyList<JpegSegment> Segments { get; }

    /// <summary>0 when the file has no frame header.</summary>
    public int Rows { get; private init; }

    public int Columns { get; private init; }

    public int Bands { get; private init; }

    public int BitsPerSample { get; private init; }

    /// <summary>Marker of the frame header: 0xC0 baseline, 0xC1 extended, 0xC2 progressive; others are not decoded here.</summary>
    public byte FrameMarker { get; private init; }

    /// <summary>Passes over the picture; many in a progressive file.</summary>
    public int Scans { get; private init; }

    /// <summary>True when the closing marker was found: nothing is cut off.</summary>
    public bool IsClosed { get; private init; }

    public static bool LooksLikeJpeg(ReadOnlySpan<byte> head) =>
        head.Length >= 3 && head[0] == 0xFF && head[1] == 0xD8 && head[2] == 0xFF;

    /// <summary>Walks the whole file, the coded picture included.</summary>
    /// <exception cref="InputProblemException">Empty, no JPEG, or a segment that runs past the end.</exception>
    public static JpegStructure Walk(ReadOnlySpan<byte> bytes, string name) => Walk(bytes, name, toEnd: true);

    /// <summary>Walks up to the first scan only: enough for the size and all metadata.</summary>
    /// <exception cref="InputProblemException">Empty, no JPEG, or a segment that runs past the end.</exception>
    public static JpegStructure WalkHead(ReadOnlySpan<byte> bytes, string name) => Walk(bytes, name, toEnd: false);

    private static JpegStructure Walk(ReadOnlySpan<byte> bytes, string name, bool toEnd)
    {
        if (bytes.IsEmpty)
        {
            throw new InputProblemException(
                name,
                "the file is empty.",
                "Copy it from the card again, or leave it out."
            );
        }

        if (!LooksLikeJpeg(bytes))
        {
            throw new InputProblemException(
                name,
                $"it is no JPEG file (it starts with {Convert.ToHexString(bytes[..Math.Min(4, bytes.Length)])}).",
                "Give a JPEG file, or copy it from the card again."
            );
        }

        List<JpegSegment> segments = [];
        JpegSegment? frame = null;
        int scans = 0;
        bool closed = false;
        int at = 2;
        while (at + 1 < bytes.Length && !closed)
        {
            if (bytes[at] != 0xFF)
            {
                throw Damaged(name, FormattableString.Invariant($"no marker at byte {at} where one must be"));
            }

            byte marker = bytes[at + 1];
            if (marker == 0xFF)
            {
                at++;
                continue;
            }

            at += 2;
            if (marker is 0xD9)
            {
                closed = true;
                continue;
            }

            if (marker is 0x01 or (>= 0xD0 and <= 0xD8))
            {
                continue;
            }

            int length = at + 2 <= bytes.Length ? BinaryPrimitives.ReadUInt16BigEndian(bytes[at..]) : 0;
            if (length < 2 || at + length > bytes.Length)
            {
                throw Damaged(
                    name,
                    FormattableString.Invariant(
                        $"the segment {marker:X2} at byte {at - 2} runs past the end: it is cut short"
                    )
                );
            }

            if (segments.Count == MostSegments)
            {
                throw Damaged(name, FormattableString.Invariant($"more than {MostSegments} segments"));
            }

            JpegSegment segment = new(marker, at + 2, length - 2);
            segments.Add(segment);
            if (IsFrameHeader(marker))
            {
                frame ??= segment;
            }

            at += length;
            if (marker == 0xDA)
            {
                scans++;
                if (!toEnd)
                {
                    break;
                }

                at = AfterScan(bytes, at);
            }
        }

        ReadOnlySpan<byte> header = frame is { } found ? bytes.Slice(found.Offset, found.Length) : [];
        bool whole = header.Length >= 6;
        return new JpegStructure(segments)
        {
            FrameMarker = whole ? frame!.Value.Marker : (byte)0,
            BitsPerSample = whole ? header[0] : 0,
            Rows = whole ? BinaryPrimitives.ReadUInt16BigEndian(header[1..]) : 0,
            Columns = whole ? BinaryPrimitives.ReadUInt16BigEndian(header[3..]) : 0,
            Bands = whole ? header[5] : 0,
            Scans = scans,
            IsClosed = closed,
        };
    }

    private static bool IsFrameHeader(byte marker) =>
        marker is >= 0xC0 and <= 0xCF && marker is not (0xC4 or 0xC8 or 0xCC);

    /// <summary>First marker after a scan's coded bytes; stuffed zeros and restart markers belong to the scan.</summary>
    private static int AfterScan(ReadOnlySpan<byte> bytes, int at)
    {
        while (at + 1 < bytes.Length)
        {
            int found = bytes[at..].IndexOf((byte)0xFF);
            if (found < 0 || at + found + 1 >= bytes.Length)
            {
                return bytes.Length;
            }

            at += found;
            if (bytes[at + 1] is not (0 or (>= 0xD0 and <= 0xD7)))
            {
                return at;
            }

            at += 2;
        }

        return bytes.Length;
    }

    private static InputProblemException Damaged(string name, string what) =>
        new(
            name,
            $"{what}.",
            "The file is damaged: copy it from the card again; if the card's own file is the same, leave it out."
        );
}

/// <summary>Content of one marker segment.</summary>
/// <param name="Marker">Second byte of the marker: 0xE1 is APP1.</param>
/// <param name="Offset">Of the content in the file, after the length.</param>
/// <param name="Length">Of the content, at most 65,533.</param>
public readonly record struct JpegSegment(byte Marker, int Offset, int Length);
