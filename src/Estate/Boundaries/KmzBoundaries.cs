using System.IO.Compression;
using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Reads the KML inside a KMZ. Nothing is ever written to disk, and unpacking stops at a limit.</summary>
public static class KmzBoundaries
{
    private const int MostEntries = 10_000;

    /// <exception cref="InputProblemException">Damaged, dangerous (paths that climb out, a bomb), or without KML.</exception>
    public static BoundarySet Read(byte[] bytes, string path)
    {
        if (!bytes.AsSpan().StartsWith("PK"u8))
        {
            throw new InputProblemException(
                path,
                "is no KMZ: a KMZ is a zip archive, and this is none.",
                "Name it .kml if it is KML, or export it again from where it was made."
            );
        }

        try
        {
            using MemoryStream stream = new(bytes, writable: false);
            using ZipArchive archive = new(stream, ZipArchiveMode.Read);
            return ReadArchive(archive, path);
        }
        catch (Exception fault)
            when (fault
                    is InvalidDataException
                        or IOException
                        or NotSupportedException
                        or ArgumentException
                        or OverflowException
                        or InvalidOperationException
            )
        {
            throw BoundaryFile.Damaged(path, $"it cannot be unpacked ({fault.Message})", fault);
        }
    }

    /// <summary>
    /// The first document of an archive is the one that counts (OGC 12-007r2, annex C); when it holds no polygon but only
    /// links to others of the archive, as programs write that put each layer into a file of its own, all are read.
    /// </summary>
    private static BoundarySet ReadArchive(ZipArchive archive, string path)
    {
        long left = BoundaryLimits.FileBytes;
        ZipArchiveEntry[] documents = Documents(archive, path);
        BoundarySet first = KmlBoundaries.Read(Unpack(documents[0], path, ref left), path);
        if (first.Boundaries.Count > 0 || documents.Length == 1)
        {
            return first;
        }

        List<Boundary> boundaries = [];
        List<string> notes = [];
        foreach (ZipArchiveEntry document in documents.Skip(1))
        {
            BoundarySet set = KmlBoundaries.Read(Unpack(document, path, ref left), path);
            string inside = Printable(document.FullName);
            boundaries.AddRange(
                set.Boundaries.Select(boundary => boundary with { Where = $"{inside}, {boundary.Where}" })
            );
            notes.AddRange(set.Notes.Select(note => $"{inside}, {note}"));
        }

        return boundaries.Count > BoundaryLimits.Features
            ? throw new InvalidDataException($"it has more than {BoundaryLimits.Features} placemarks")
            : new BoundarySet(path, ReferenceSystem.Wgs84Geographic, boundaries, notes);
    }

    /// <summary>The archive's KML files; the one that counts comes first.</summary>
    private static ZipArchiveEntry[] Documents(ZipArchive archive, string path)
    {
        if (archive.Entries.Count > MostEntries)
        {
            throw new InvalidDataException($"it holds more than {MostEntries} files");
        }

        foreach (ZipArchiveEntry entry in archive.Entries)
        {
            string name = entry.FullName.Replace('\\', '/');
            if (name.StartsWith('/') || name.Contains(':', StringComparison.Ordinal) || name.Split('/').Contains(".."))
            {
                throw new InputProblemException(
                    path,
                    $"holds a file whose path leads out of it (\"{Printable(name)}\"), as no honest KMZ does.",
                    "Do not trust it; ask its maker for a plain KML."
                );
            }
        }

        ZipArchiveEntry[] documents =
        [
            .. archive
                .Entries.Where(entry => entry.FullName.EndsWith(".kml", StringComparison.OrdinalIgnoreCase))
                .OrderByDescending(entry => entry.FullName.Equals("doc.kml", StringComparison.OrdinalIgnoreCase)),
        ];
        return documents.Length > 0
            ? documents
            : throw new InputProblemException(
                path,
                "holds no KML.",
                "Export the blocks again as KML or KMZ from where they were drawn."
            );
    }

    private static byte[] Unpack(ZipArchiveEntry entry, string path, ref long left)
    {
        using Stream packed = entry.Open();
        using MemoryStream whole = new();
        byte[] buffer = new byte[1 << 16];
        int count;
        // The length that the archive states is not believed: bytes are counted as they come.
        while ((count = packed.Read(buffer)) > 0)
        {
            left -= count;
            if (left < 0)
            {
                throw new InputProblemException(
                    path,
                    $"unpacks to more than {BoundaryLimits.FileBytes >> 20} MiB, as no honest set of outlines does.",
                    "Do not trust it; ask its maker for a plain KML with the blocks only."
                );
            }

            whole.Write(buffer, 0, count);
        }

        return whole.ToArray();
    }

    private static string Printable(string name) =>
        new([.. name[..Math.Min(60, name.Length)].Select(c => char.IsControl(c) ? ' ' : c)]);
}
