using System.Globalization;
using System.Security.Cryptography;
using System.Text;

namespace Hillrow.Estate;

/// <summary>
/// SHA-256 of files, remembered by path and identity so that a card of thousands of frames is read once. The memory
/// is a file that may be lost or deleted at any time: it saves reading, and nothing else rests on it.
/// </summary>
/// <remarks>
/// A file that was changed so lately that it could change again without its time stamps moving is hashed but not
/// remembered (the clock of a file system ticks in milliseconds at best, two seconds on camera cards).
/// Not thread-safe.
/// </remarks>
public sealed class ContentHashes
{
    private const long SettledAfterNanoseconds = 3_000_000_000L;
    private const string Heading = "hillrow content hashes 1";

    private readonly string? memoryFile;
    private readonly Dictionary<string, (FileIdentity Identity, string Hash)> known = new(StringComparer.Ordinal);
    private bool changed;

    /// <param name="memoryFile">Where hashes are kept between runs; null keeps them in memory only.</param>
    public ContentHashes(string? memoryFile)
    {
        this.memoryFile = memoryFile;
        if (memoryFile is not null && File.Exists(memoryFile))
        {
            Load(memoryFile);
        }
    }

    /// <summary>Files whose content was read since this was made; the rest were known.</summary>
    public int FilesRead { get; private set; }

    /// <summary>Lower-case hexadecimal SHA-256 of a text.</summary>
    public static string OfText(string text) => Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(text)));

    /// <summary>Lower-case hexadecimal SHA-256 of a file's content.</summary>
    /// <exception cref="IOException">The file is missing, unreadable, or changes while it is read.</exception>
    public string OfFile(string path, CancellationToken cancellation = default)
    {
        string full = Path.GetFullPath(path);
        FileIdentity before = FileIdentity.Of(full);
        if (known.TryGetValue(full, out var entry) && entry.Identity == before)
        {
            return entry.Hash;
        }

        string hash = Read(full, cancellation);
        FilesRead++;
        FileIdentity after = FileIdentity.Of(full);
        if (after != before)
        {
            throw new IOException($"{full} changed while it was read.");
        }

        long now = (DateTime.UtcNow - DateTime.UnixEpoch).Ticks * 100;
        if (now - Math.Max(after.ModifiedNanoseconds, after.ChangedNanoseconds) > SettledAfterNanoseconds)
        {
            known[full] = (after, hash);
            changed = true;
        }

        return hash;
    }

    /// <summary>Keeps what was learnt for the next run.</summary>
    public void Save()
    {
        if (memoryFile is null || !changed)
        {
            return;
        }

        StringBuilder text = new();
        text.Append(Heading).Append('\n');
        foreach ((string path, (FileIdentity id, string hash)) in known.Where(pair => !pair.Key.Contains('\n')))
        {
            text.Append(
                CultureInfo.InvariantCulture,
                $"{hash} {id.Bytes} {id.ModifiedNanoseconds} {id.ChangedNanoseconds} {id.Node} {id.Device} {path}\n"
            );
        }

        DurableFiles.WriteAllText(memoryFile, text.ToString());
        changed = false;
    }

    private static string Read(string path, CancellationToken cancellation)
    {
        using FileStream stream = new(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete, 1);
        using IncrementalHash hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        byte[] buffer = new byte[1 << 20];
        int count;
        while ((count = stream.Read(buffer)) > 0)
        {
            cancellation.ThrowIfCancellationRequested();
            hash.AppendData(buffer, 0, count);
        }

        return Convert.ToHexStringLower(hash.GetHashAndReset());
    }

    private void Load(string file)
    {
        string[] lines = File.ReadAllLines(file);
        if (lines.Length == 0 || lines[0] != Heading)
        {
            return;
        }

        foreach (string line in lines.Skip(1))
        {
            string[] parts = line.Split(' ', 7);
            if (
                parts.Length == 7
                && parts[0].Length == 64
                && long.TryParse(parts[1], out long bytes)
                && long.TryParse(parts[2], out long modified)
                && long.TryParse(parts[3], out long changedAt)
                && ulong.TryParse(parts[4], out ulong node)
                && ulong.TryParse(parts[5], out ulong device)
            )
            {
                known[parts[6]] = (new FileIdentity(bytes, modified, changedAt, node, device), parts[0]);
            }
        }
    }
}
