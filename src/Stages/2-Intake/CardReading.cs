using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>One band's picture as found on the card.</summary>
/// <param name="File">Relative to the root.</param>
/// <param name="FullPath">On disk; null when it was read on its way there.</param>
/// <param name="Page">0 is the first.</param>
/// <param name="Bytes">Of the file.</param>
/// <param name="Band">In the profile.</param>
/// <param name="Metadata">What the file says.</param>
internal sealed record CardFrame(
    string File,
    string? FullPath,
    int Page,
    long Bytes,
    string Band,
    FrameMetadata Metadata
)
{
    /// <summary>What it says of its camera.</summary>
    public CameraMark Mark { get; init; } = CameraMark.None;

    /// <summary>Of the file, when known.</summary>
    public string? Sha256 { get; init; }

    /// <summary>By the clock that is there; for telling triggers apart only.</summary>
    public DateTime? Clock => (Metadata.Time ?? Metadata.SatelliteTime)?.Clock;
}

/// <summary>Finds picture files and reads their metadata, never their pixels.</summary>
internal sealed class CardReading(IntakeInput input, List<IntakeNote> notes)
{
    private const int DeepestFolders = 24;

    private static readonly string[] PictureEndings = [".tif", ".tiff", ".jpg", ".jpeg"];

    public int PictureFiles { get; private set; }

    public int OtherFiles { get; private set; }

    public IReadOnlyList<CardFrame> Read(int threads, IProgress<WorkProgress>? progress, CancellationToken cancel)
    {
        string[] files = Find();
        PictureFiles = files.Length;
        CardFileReading[] found = new CardFileReading[files.Length];
        int done = 0;
        Parallel.For(
            0,
            files.Length,
            new ParallelOptions { MaxDegreeOfParallelism = threads, CancellationToken = cancel },
            index =>
            {
                found[index] = ReadFile(files[index]);
                int count = Interlocked.Increment(ref done);
                if (count % 64 == 0)
                {
                    progress?.Report(new WorkProgress("reading the card", 0.9 * count / files.Length));
                }
            }
        );
        notes.AddRange(found.SelectMany(entry => entry.Notes));
        return [.. found.SelectMany(entry => entry.Frames)];
    }

    public string Relative(string path) => Path.GetRelativePath(input.RootFolder, path).Replace('\\', '/');

    private string[] Find()
    {
        SortedSet<string> pictures = new(StringComparer.Ordinal);
        SortedDictionary<string, int> others = new(StringComparer.Ordinal);
        EnumerationOptions options = new()
        {
            RecurseSubdirectories = true,
            MaxRecursionDepth = DeepestFolders,
            IgnoreInaccessible = true,
            AttributesToSkip = FileAttributes.None,
        };
        HashSet<string> seen = new(StringComparer.Ordinal);
        foreach (string folder in input.CardFolders)
        {
            if (!Directory.Exists(folder))
            {
                throw new InputProblemException(folder, "there is no such folder.", "Name the folder of the card.");
            }

            foreach (string file in Directory.EnumerateFiles(Path.GetFullPath(folder), "*", options))
            {
                if (!seen.Add(file))
                {
                    continue;
                }

                string ending = Path.GetExtension(file).ToLowerInvariant();
                if (PictureEndings.Contains(ending) && !Path.GetFileName(file).StartsWith('.'))
                {
                    pictures.Add(file);
                }
                else
                {
                    string kind = ending.Length == 0 ? "(no ending)" : ending;
                    others[kind] = others.GetValueOrDefault(kind) + 1;
                }
            }
        }

        OtherFiles = others.Values.Sum();
        if (OtherFiles > 0)
        {
            string kinds = string.Join(", ", others.Select(entry => $"{entry.Value} {entry.Key}"));
            notes.Add(new IntakeNote(NoteWeight.Told, "card", $"{OtherFiles} other files left alone: {kinds}.", ""));
        }

        return [.. pictures];
    }

    /// <summary>As read already on its way here, if its length is still the same; else from the disk.</summary>
    private CardFileReading ReadFile(string path)
    {
        string file = Relative(path);
        try
        {
            if (input.Readings?.GetValueOrDefault(file) is { } known && known.Bytes == new FileInfo(path).Length)
            {
                return known with
                {
                    Frames = [.. known.Frames.Select(frame => frame with { FullPath = path, Sha256 = known.Sha256 })],
                };
            }
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return new CardFileReading
            {
                File = file,
                Bytes = 0,
                Notes = [CardFileReading.CannotOpen(file)],
            };
        }

        return CardFileReading.Of(input.Profile, file, path, () => ByteSource.FromFile(path));
    }
}
