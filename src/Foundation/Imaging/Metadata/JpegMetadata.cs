using System.Buffers.Binary;
using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>Finds the EXIF block and the XMP packet in a JPEG file's APP1 segments.</summary>
/// <remarks>Sources: Exif 3.0 (CIPA DC-008), section 4.7; ISO 16684-3 (XMP in JPEG, extended XMP), from memory.</remarks>
public static class JpegMetadata
{
    private const byte App1 = 0xE1;
    private const int MostExtendedBytes = 16 << 20;

    private static ReadOnlySpan<byte> ExifMark => "Exif\0\0"u8;

    private static ReadOnlySpan<byte> XmpMark => "http://ns.adobe.com/xap/1.0/\0"u8;

    private static ReadOnlySpan<byte> ExtendedMark => "http://ns.adobe.com/xmp/extension/\0"u8;

    /// <summary>The EXIF block, itself a TIFF structure; null when there is none.</summary>
    /// <remarks>A block above 64 KiB goes on in further segments, which do not start like a TIFF file.</remarks>
    public static byte[]? Exif(ReadOnlySpan<byte> file, JpegStructure structure)
    {
        ArgumentNullException.ThrowIfNull(structure);
        List<byte>? block = null;
        foreach (JpegSegment segment in structure.Segments)
        {
            ReadOnlySpan<byte> content = file.Slice(segment.Offset, segment.Length);
            if (segment.Marker != App1 || !content.StartsWith(ExifMark))
            {
                continue;
            }

            content = content[ExifMark.Length..];
            if (block is null)
            {
                block = [.. content];
            }
            else if (!TiffFile.LooksLikeTiff(content))
            {
                block.AddRange(content);
            }
        }

        return block?.ToArray();
    }

    /// <summary>The main XMP packet; null when there is none.</summary>
    public static byte[]? Xmp(ReadOnlySpan<byte> file, JpegStructure structure)
    {
        ArgumentNullException.ThrowIfNull(structure);
        foreach (JpegSegment segment in structure.Segments)
        {
            ReadOnlySpan<byte> content = file.Slice(segment.Offset, segment.Length);
            if (segment.Marker == App1 && content.StartsWith(XmpMark))
            {
                return content[XmpMark.Length..].ToArray();
            }
        }

        return null;
    }

    /// <summary>
    /// The second packet of a file whose XMP exceeds one segment, put together from its pieces; null when there is
    /// none, it is incomplete, or it is not the one that the main packet names.
    /// </summary>
    /// <param name="guid">32 hexadecimal digits from the main packet's HasExtendedXMP property.</param>
    public static byte[]? ExtendedXmp(ReadOnlySpan<byte> file, JpegStructure structure, string guid)
    {
        ArgumentNullException.ThrowIfNull(structure);
        ArgumentNullException.ThrowIfNull(guid);
        const int headLength = 32 + 4 + 4;
        byte[]? whole = null;
        long filled = 0;
        foreach (JpegSegment segment in structure.Segments)
        {
            ReadOnlySpan<byte> content = file.Slice(segment.Offset, segment.Length);
            if (
                segment.Marker != App1
                || !content.StartsWith(ExtendedMark)
                || content.Length < ExtendedMark.Length + headLength
            )
            {
                continue;
            }

            content = content[ExtendedMark.Length..];
            uint length = BinaryPrimitives.ReadUInt32BigEndian(content[32..]);
            uint offset = BinaryPrimitives.ReadUInt32BigEndian(content[36..]);
            ReadOnlySpan<byte> piece = content[headLength..];
            if (!guid.Equals(System.Text.Encoding.ASCII.GetString(content[..32]), StringComparison.OrdinalIgnoreCase))
            {
                continue;
            }

            if (length > MostExtendedBytes || length > file.Length || offset + (long)piece.Length > length)
            {
                return null;
            }

            whole ??= new byte[length];
            if (whole.Length != length)
            {
                return null;
            }

            piece.CopyTo(whole.AsSpan((int)offset));
            filled += piece.Length;
        }

        return whole is not null && filled == whole.Length ? whole : null;
    }

    /// <summary>TIFF tag 274 of the EXIF block; 1 when absent or unreadable.</summary>
    internal static int Orientation(ReadOnlySpan<byte> file, JpegStructure structure, string name)
    {
        if (Exif(file, structure) is not { } block)
        {
            return 1;
        }

        try
        {
            using TiffFile exif = TiffFile.Open(block, name);
            long orientation = exif.Directories[0].Integer(TiffTags.Orientation) ?? 1;
            return orientation is >= 1 and <= 8 ? (int)orientation : 1;
        }
        catch (InputProblemException)
        {
            // The pixels are whole; who reads the metadata is told of the damage there.
            return 1;
        }
    }
}
