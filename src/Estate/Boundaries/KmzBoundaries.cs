using System.IO.Compression;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Reads the KML inside a KMZ. Nothing is ever written to disk, and unpacking stops at a limit.</summary>
public static class KmzBoundaries
{
    private const int MostEntries = 10_000;

    /// <exception cref="InputProblemException">Damaged, dangerous (paths that climb out, a bomb), or without KML.</exception>
    public static BoundarySet Read(byte[] bytes, string path)
    {
        try
        {
            using MemoryStream stream = new(bytes, writable: false);
            using ZipArchive archive = new(stream, ZipArchiveMode.Read);
            return KmlBoundaries.Read(Unpack(Find(archive, path), path), path);
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

    private static ZipArchiveEntry Find(ZipArchive archive, string path)
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

        return archive.Entries.FirstOrDefault(entry =>
                entry.FullName.Equals("doc.kml", StringComparison.OrdinalIgnoreCase)
            )
            ?? archive.Entries.FirstOrDefault(entry =>
                entry.FullName.EndsWith(".kml", StringComparison.OrdinalIgnoreCase)
            )
            ?? throw new InputProblemException(
                path,
                "holds no KML.",
                "Export the blocks again as KML or KMZ from where they were drawn."
            );
    }

    private static byte[] Unpack(ZipArchiveEntry entry, string path)
    {
        using Stream packed = entry.Open();
        using MemoryStream whole = new();
        byte[] buffer = new byte[1 << 16];
        int count;
        // The length that the archive states is not believed: bytes are counted as they come.
        while ((count = packed.Read(buffer)) > 0)
        {
            if (whole.Length + count > BoundaryLimits.FileBytes)
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
