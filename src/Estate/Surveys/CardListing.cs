using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <param name="Path">Absolute.</param>
/// <param name="Relative">Below the card, with forward slashes.</param>
/// <param name="Bytes">Length.</param>
/// <param name="ModifiedUtc">Time stamp.</param>
internal sealed record CardFile(string Path, string Relative, long Bytes, DateTime ModifiedUtc);

/// <summary>The files of a card.</summary>
internal sealed record CardListing(string Folder, IReadOnlyList<CardFile> Files)
{
    private static readonly string[] PictureEndings = [".tif", ".tiff", ".jpg", ".jpeg"];

    /// <exception cref="InputProblemException">No folder, not readable, or no picture in it.</exception>
    public static CardListing Of(string folder)
    {
        if (!Directory.Exists(folder))
        {
            throw new InputProblemException(
                folder,
                File.Exists(folder) ? "is a file." : "does not exist.",
                "Name the folder that holds the card's pictures."
            );
        }

        try
        {
            List<CardFile> files =
            [
                .. Directory
                    .EnumerateFiles(folder, "*", SearchOption.AllDirectories)
                    .Select(path => (Path: path, Info: new FileInfo(path)))
                    .Select(file => new CardFile(
                        file.Path,
                        Path.GetRelativePath(folder, file.Path).Replace('\\', '/'),
                        file.Info.Length,
                        file.Info.LastWriteTimeUtc
                    ))
                    .OrderBy(file => file.Relative, StringComparer.Ordinal),
            ];
            return files.Exists(file => IsPicture(file.Path))
                ? new CardListing(folder, files)
                : throw new InputProblemException(
                    folder,
                    $"has no picture in it ({string.Join(", ", PictureEndings)}).",
                    "Name the folder that holds the card's pictures."
                );
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                folder,
                $"cannot be read ({fault.Message.ReplaceLineEndings(" ").TrimEnd('.')}).",
                "Check the card and its reader.",
                fault
            );
        }
    }

    /// <summary>Same names, lengths, and content of some files spread over the card.</summary>
    public bool SameAs(CardListing other, int filesCompared)
    {
        if (
            Files.Count != other.Files.Count
            || Files.Zip(other.Files).Any(pair => pair.First.Relative != pair.Second.Relative)
            || Files.Zip(other.Files).Any(pair => pair.First.Bytes != pair.Second.Bytes)
        )
        {
            return false;
        }

        ContentHashes hashes = new(null);
        int step = Math.Max(1, Files.Count / filesCompared);
        for (int index = 0; index < Files.Count; index += step)
        {
            if (hashes.OfFile(Files[index].Path) != hashes.OfFile(other.Files[index].Path))
            {
                return false;
            }
        }

        return true;
    }

    /// <summary>By its ending.</summary>
    public static bool IsPicture(string path) => PictureEndings.Contains(Path.GetExtension(path).ToLowerInvariant());
}
