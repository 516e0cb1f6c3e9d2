using System.Runtime.InteropServices;

namespace Hillrow.Rehearsal;

/// <summary>One picture of a card file.</summary>
/// <param name="Columns">Pixels across.</param>
/// <param name="Rows">Pixels down.</param>
/// <param name="Samples">Rows × Columns, as they are to be stored.</param>
/// <param name="Image">Further tags of the image directory.</param>
/// <param name="Exif">Tags of the EXIF directory; empty leaves it out.</param>
/// <param name="Gps">Tags of the GPS directory; empty leaves it out.</param>
/// <param name="Xmp">XMP packet; empty leaves it out.</param>
internal sealed record CardPage(
    int Columns,
    int Rows,
    ushort[] Samples,
    IReadOnlyList<CardTag> Image,
    IReadOnlyList<CardTag> Exif,
    IReadOnlyList<CardTag> Gps,
    string Xmp
);

/// <summary>Writes plain baseline TIFF with EXIF, GPS and XMP, as a camera's firmware would: uncompressed, one strip.</summary>
/// <remarks>TIFF revision 6.0 (1992) sections 2 and 3; EXIF 2.32 section 4.6; XMP part 3 (2016) tag 700.</remarks>
internal static class CardTiff
{
    private const int HeaderBytes = 8;

    /// <param name="path">Appears only when whole: a card file is written beside it and renamed.</param>
    public static void Write(string path, IReadOnlyList<CardPage> pages, CardTags tags)
    {
        string partial = path + ".partial";
        using (FileStream file = new(partial, FileMode.Create, FileAccess.Write, FileShare.None, 1 << 16))
        {
            byte[] header = new byte[HeaderBytes];
            header[0] = header[1] = (byte)(tags.BigEndian ? 'M' : 'I');
            tags.Put16(header.AsSpan(2), 42);
            tags.Put32(header.AsSpan(4), HeaderBytes);
            file.Write(header);
            uint at = HeaderBytes;
            for (int index = 0; index < pages.Count; index++)
            {
                at = WritePage(file, pages[index], tags, at, index + 1 == pages.Count);
            }
        }

        File.Move(partial, path, overwrite: true);
    }

    private static uint WritePage(FileStream file, CardPage page, CardTags tags, uint at, bool last)
    {
        List<CardTag> image =
        [
            .. page.Image,
            tags.Long(256, (uint)page.Columns),
            tags.Long(257, (uint)page.Rows),
            tags.Short(258, 16),
            tags.Short(259, 1),
            tags.Short(262, 1),
            tags.Short(277, 1),
            tags.Long(278, (uint)page.Rows),
            tags.Long(279, (uint)(2 * page.Samples.Length)),
        ];
        if (page.Xmp.Length > 0)
        {
            image.Add(CardTags.Bytes(700, System.Text.Encoding.UTF8.GetBytes(page.Xmp)));
        }

        int entries = image.Count + 1 + (page.Exif.Count > 0 ? 1 : 0) + (page.Gps.Count > 0 ? 1 : 0);
        // Places first: the image directory with its long values, then EXIF, then GPS, then the pixels.
        uint exifAt = at + (uint)DirectoryBytes(entries, image);
        uint gpsAt = exifAt + (uint)DirectoryBytes(page.Exif.Count, page.Exif);
        uint pixelsAt = gpsAt + (uint)DirectoryBytes(page.Gps.Count, page.Gps);
        uint next = pixelsAt + (uint)(2 * page.Samples.Length);
        image.Add(tags.Long(273, pixelsAt));
        if (page.Exif.Count > 0)
        {
            image.Add(tags.Long(34665, exifAt));
        }

        if (page.Gps.Count > 0)
        {
            image.Add(tags.Long(34853, gpsAt));
        }

        file.Write(Directory(image, tags, at, last ? 0 : next));
        file.Write(Directory(page.Exif, tags, exifAt, 0));
        file.Write(Directory(page.Gps, tags, gpsAt, 0));
        file.Write(Pixels(page.Samples, tags));
        return next;
    }

    private static int DirectoryBytes(int entries, IReadOnlyList<CardTag> tags) =>
        tags.Count == 0 ? 0 : 6 + (12 * entries) + tags.Sum(LongBytes);

    /// <summary>Bytes that do not fit into the entry itself, padded to an even place.</summary>
    private static int LongBytes(CardTag tag) => tag.Bytes.Length <= 4 ? 0 : (tag.Bytes.Length + 1) & ~1;

    private static byte[] Directory(IReadOnlyList<CardTag> unordered, CardTags tags, uint at, uint next)
    {
        if (unordered.Count == 0)
        {
            return [];
        }

        CardTag[] ordered = [.. unordered.OrderBy(tag => tag.Tag)];
        byte[] bytes = new byte[DirectoryBytes(ordered.Length, ordered)];
        tags.Put16(bytes, (ushort)ordered.Length);
        int place = 6 + (12 * ordered.Length);
        for (int index = 0; index < ordered.Length; index++)
        {
            CardTag tag = ordered[index];
            Span<byte> entry = bytes.AsSpan(2 + (12 * index), 12);
            tags.Put16(entry, tag.Tag);
            tags.Put16(entry[2..], tag.Type);
            tags.Put32(entry[4..], tag.Count);
            if (tag.Bytes.Length <= 4)
            {
                tag.Bytes.CopyTo(entry[8..]);
            }
            else
            {
                tags.Put32(entry[8..], at + (uint)place);
                tag.Bytes.CopyTo(bytes, place);
                place += LongBytes(tag);
            }
        }

        tags.Put32(bytes.AsSpan(2 + (12 * ordered.Length)), next);
        return bytes;
    }

    private static byte[] Pixels(ushort[] samples, CardTags tags)
    {
        byte[] bytes = MemoryMarshal.AsBytes(samples.AsSpan()).ToArray();
        if (tags.BigEndian == BitConverter.IsLittleEndian)
        {
            System.Buffers.Binary.BinaryPrimitives.ReverseEndianness(
                samples,
                MemoryMarshal.Cast<byte, ushort>(bytes.AsSpan())
            );
        }

        return bytes;
    }
}
