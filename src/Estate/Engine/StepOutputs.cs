using System.Text;

namespace Hillrow.Estate;

/// <summary>Seals the files that a step wrote: lists them, forbids writing, and brings them onto the disk.</summary>
internal static class StepOutputs
{
    private const UnixFileMode ReadOnly = UnixFileMode.UserRead | UnixFileMode.GroupRead | UnixFileMode.OtherRead;

    /// <returns>Every file, by path, and one digest of them all.</returns>
    public static (List<OutputRecord> Files, string Content) Seal(
        string folder,
        ContentHashes hashes,
        CancellationToken cancellation
    )
    {
        List<string> files = [.. Directory.EnumerateFiles(folder, "*", SearchOption.AllDirectories)];
        List<OutputRecord> outputs = [];
        foreach (string file in files)
        {
            if (OperatingSystem.IsWindows())
            {
                File.SetAttributes(file, FileAttributes.ReadOnly);
            }
            else
            {
                File.SetUnixFileMode(file, ReadOnly);
            }

            string relative = Path.GetRelativePath(folder, file).Replace('\\', '/');
            outputs.Add(new OutputRecord(relative, new FileInfo(file).Length, hashes.OfFile(file, cancellation)));
        }

        outputs.Sort((left, right) => string.CompareOrdinal(left.File, right.File));
        DurableFiles.FlushTree(folder);
        DurableFiles.FlushFolder(Path.GetDirectoryName(folder)!);
        StringBuilder listing = new();
        foreach (OutputRecord output in outputs)
        {
            listing.Append(output.Digest).Append(' ').Append(output.File).Append('\n');
        }

        return (outputs, ContentHashes.OfText(listing.ToString()));
    }
}
