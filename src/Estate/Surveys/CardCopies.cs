using System.Buffers;
using System.Security.Cryptography;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>One file to be brought.</summary>
/// <param name="From">On the card.</param>
/// <param name="Name">Below the survey's captures, with forward slashes.</param>
internal sealed record CardErrand(CardFile From, string Name);

/// <summary>Brings cards' files into a survey's captures folder; each is read once, whatever is done with it.</summary>
/// <remarks>
/// A file appears under its name only when it is whole and flushed, with the time stamp that it has on the card. So an
/// attempt that was cut short is gone on with: what is there with the same length and time stamp is not copied again.
/// </remarks>
internal sealed class CardCopies(string captures, CardDoor door, CameraProfile? look)
{
    /// <summary>Longer ones (films) go through in pieces and are not looked at.</summary>
    private const long WholeInMemory = 256L << 20;

    private readonly Lock gate = new();
    private readonly SortedDictionary<string, CardFileReading> readings = new(StringComparer.Ordinal);
    private readonly SortedDictionary<string, string> checksums = new(StringComparer.Ordinal);

    /// <summary>By name below the captures; empty when nothing was to be looked at.</summary>
    public IReadOnlyDictionary<string, CardFileReading> Readings => readings;

    /// <summary>SHA-256 by name below the captures, of every file that was read.</summary>
    public IReadOnlyDictionary<string, string> Checksums => checksums;

    /// <summary>Files that an earlier attempt had brought already.</summary>
    public int Kept { get; private set; }

    /// <summary>Copies the files; those that stand there already are only read.</summary>
    /// <exception cref="InputProblemException">A file cannot be read, or the disk is full.</exception>
    public void Copy(IReadOnlyList<CardErrand> errands, IProgress<double>? progress, CancellationToken cancellation)
    {
        Tidy(errands);
        string[] folders =
        [
            .. errands.Select(errand => Path.GetDirectoryName(Target(errand))!).Distinct(StringComparer.Ordinal),
        ];
        foreach (string folder in folders)
        {
            Directory.CreateDirectory(folder);
        }

        Through(errands, copy: true, progress, cancellation);
        // The files are flushed one by one; now their names, from the leaves up.
        HashSet<string> named = new(StringComparer.Ordinal) { captures };
        foreach (string folder in folders)
        {
            for (string at = folder; at.Length > captures.Length && named.Add(at); at = Path.GetDirectoryName(at)!) { }
        }

        foreach (string folder in named.OrderByDescending(folder => folder.Length))
        {
            DurableFiles.FlushFolder(folder);
        }
    }

    /// <summary>Only reads, for cards that are linked to.</summary>
    /// <exception cref="InputProblemException">A file cannot be read.</exception>
    public void Look(IReadOnlyList<CardErrand> errands, IProgress<double>? progress, CancellationToken cancellation) =>
        Through(errands, copy: false, progress, cancellation);

    private string Target(CardErrand errand) => Path.Combine(captures, errand.Name);

    /// <summary>All files in the card's own order, so that reading runs on.</summary>
    private void Through(
        IReadOnlyList<CardErrand> errands,
        bool copy,
        IProgress<double>? progress,
        CancellationToken cancellation
    )
    {
        long whole = Math.Max(1, errands.Sum(errand => errand.From.Bytes));
        long done = 0;
        new CardPipeline<LoadedFile>(
            at => Load(errands[at], copy && !IsThere(errands[at]), copy, cancellation),
            (at, file) => Work(errands[at], file),
            at => errands[at].From.Bytes > WholeInMemory ? 0 : errands[at].From.Bytes,
            at => progress?.Report((double)Interlocked.Add(ref done, errands[at].From.Bytes) / whole)
        ).Run(errands.Count, door.FilesAtOnce, cancellation);
    }

    /// <summary>What reading gives: the whole content in a pooled buffer, or, of a file too long for that, its copy and hash.</summary>
    private sealed record LoadedFile(byte[]? Buffer, int Length, bool Copy, CopiedFile? Copied, string? Hash);

    private LoadedFile Load(CardErrand errand, bool copy, bool mayBeThere, CancellationToken cancellation)
    {
        bool there = mayBeThere && !copy;
        if (there)
        {
            lock (gate)
            {
                Kept++;
            }
        }

        using Stream stream = Open(errand, there ? Target(errand) : errand.From.Path);
        if (errand.From.Bytes > WholeInMemory)
        {
            CopiedFile? into = copy ? new CopiedFile(Target(errand), errand.From.ModifiedUtc) : null;
            return new LoadedFile(null, 0, copy, into, Piecewise(errand, stream, into, cancellation));
        }

        byte[] buffer = ArrayPool<byte>.Shared.Rent((int)Math.Max(1, errand.From.Bytes));
        return new LoadedFile(buffer, Fill(errand, stream, buffer.AsSpan(0, (int)errand.From.Bytes)), copy, null, null);
    }

    /// <summary>Writes the copy, hashes, looks; the flush is left to come.</summary>
    private CopiedFile? Work(CardErrand errand, LoadedFile file)
    {
        if (file.Buffer is not { } buffer)
        {
            Keep(errand, file.Hash!, null);
            return file.Copied;
        }

        CopiedFile? into = null;
        try
        {
            ReadOnlyMemory<byte> content = buffer.AsMemory(0, file.Length);
            if (file.Copy)
            {
                into = new CopiedFile(Target(errand), errand.From.ModifiedUtc);
                into.Write(content.Span);
            }

            string hash = Convert.ToHexStringLower(SHA256.HashData(content.Span));
            Keep(
                errand,
                hash,
                look is null || !CardListing.IsPicture(errand.Name)
                    ? null
                    : CardFileReading.Of(look, errand.Name, content, hash)
            );
            return into;
        }
        catch
        {
            into?.Dispose();
            throw;
        }
        finally
        {
            ArrayPool<byte>.Shared.Return(buffer);
        }
    }

    private bool IsThere(CardErrand errand)
    {
        FileInfo there = new(Target(errand));
        return there.Exists && there.Length == errand.From.Bytes && there.LastWriteTimeUtc == errand.From.ModifiedUtc;
    }

    private static string Piecewise(CardErrand errand, Stream stream, CopiedFile? into, CancellationToken cancellation)
    {
        using IncrementalHash hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        byte[] buffer = ArrayPool<byte>.Shared.Rent(1 << 20);
        try
        {
            int got;
            while ((got = Some(errand, stream, buffer)) > 0)
            {
                cancellation.ThrowIfCancellationRequested();
                hash.AppendData(buffer, 0, got);
                into?.Write(buffer.AsSpan(0, got));
            }
        }
        finally
        {
            ArrayPool<byte>.Shared.Return(buffer);
        }

        return Convert.ToHexStringLower(hash.GetHashAndReset());
    }

    private void Keep(CardErrand errand, string hash, CardFileReading? reading)
    {
        lock (gate)
        {
            checksums[errand.Name] = hash;
            if (reading is not null)
            {
                readings[errand.Name] = reading;
            }
        }
    }

    private Stream Open(CardErrand errand, string path)
    {
        try
        {
            return path == errand.From.Path ? door.Open(path) : CardDoor.Usual.Open(path);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw CannotRead(errand, fault);
        }
    }

    private static int Fill(CardErrand errand, Stream stream, Span<byte> buffer)
    {
        int length = 0;
        int got;
        while (length < buffer.Length && (got = Some(errand, stream, buffer[length..])) > 0)
        {
            length += got;
        }

        return length == buffer.Length
            ? length
            : throw CannotRead(errand, new EndOfStreamException($"it ends after {length} bytes"));
    }

    private static int Some(CardErrand errand, Stream stream, Span<byte> buffer)
    {
        try
        {
            return stream.Read(buffer);
        }
        catch (IOException fault)
        {
            throw CannotRead(errand, fault);
        }
    }

    private static InputProblemException CannotRead(CardErrand errand, Exception fault) =>
        new(
            errand.From.Path,
            $"cannot be read ({fault.Message.ReplaceLineEndings(" ").TrimEnd('.')}).",
            "Check the card and its reader, then bring the card again: what came over is kept.",
            fault
        );

    /// <summary>Links to each card's folder.</summary>
    /// <exception cref="InputProblemException">The file system makes no links.</exception>
    public static void Link(string target, string folder)
    {
        try
        {
            if (new DirectoryInfo(target).LinkTarget is not null)
            {
                Directory.Delete(target);
            }

            Directory.CreateSymbolicLink(target, folder);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                folder,
                "cannot be linked to from here.",
                "Add the survey without --link: the files are copied.",
                fault
            );
        }
    }

    /// <summary>Takes away what earlier attempts left and these errands do not bring; links are not followed.</summary>
    private void Tidy(IReadOnlyList<CardErrand> errands)
    {
        if (!Directory.Exists(captures))
        {
            return;
        }

        HashSet<string> wanted = [.. errands.Where(IsThere).Select(Target)];
        foreach (string child in Directory.GetDirectories(captures))
        {
            if (new DirectoryInfo(child).LinkTarget is not null)
            {
                Directory.Delete(child);
                continue;
            }

            foreach (string file in Directory.GetFiles(child, "*", SearchOption.AllDirectories))
            {
                if (!wanted.Contains(file))
                {
                    File.Delete(file);
                }
            }

            if (Directory.GetFiles(child, "*", SearchOption.AllDirectories).Length == 0)
            {
                Directory.Delete(child, recursive: true);
            }
        }
    }
}
