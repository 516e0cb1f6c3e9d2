using System.Globalization;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>One band's picture as found on the card.</summary>
internal sealed record CardFrame(
    string File,
    string FullPath,
    int Page,
    long Bytes,
    string Band,
    FrameMetadata Metadata
)
{
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
        (List<CardFrame> Frames, List<IntakeNote> Notes)[] found = new (List<CardFrame>, List<IntakeNote>)[
            files.Length
        ];
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

    private (List<CardFrame>, List<IntakeNote>) ReadFile(string path)
    {
        List<CardFrame> frames = [];
        List<IntakeNote> here = [];
        string file = Relative(path);
        try
        {
            long bytes = new FileInfo(path).Length;
            IReadOnlyList<PropertyBag> pages = PropertyBag.ReadPages(path);
            for (int page = 0; page < pages.Count; page++)
            {
                FrameMetadata metadata = input.Profile.Metadata.Evaluate(pages[page], path);
                string? band = BandIdentity.Of(input.Profile, metadata, file, page, pages.Count, here);
                if (band is null)
                {
                    continue;
                }

                if (Unfit(pages[page], input.Profile.Band(band), bytes) is { } fault)
                {
                    here.Add(new IntakeNote(NoteWeight.Excluded, file, fault.What, fault.Remedy));
                    continue;
                }

                here.AddRange(
                    metadata.Complaints.Select(line => new IntakeNote(
                        NoteWeight.Told,
                        file,
                        line.TrimEnd('.') + ".",
                        "Check the camera profile's metadata map."
                    ))
                );
                frames.Add(new CardFrame(file, path, page, bytes, band, metadata));
            }
        }
        catch (InputProblemException fault)
        {
            here.Add(new IntakeNote(NoteWeight.Excluded, file, $"cannot be read: {fault.Problem}", fault.Remedy));
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            here.Add(
                new IntakeNote(
                    NoteWeight.Excluded,
                    file,
                    "the file cannot be opened.",
                    "Check that it may be read, or copy it from the card again."
                )
            );
        }

        return (frames, here);
    }

    /// <summary>Size against the profile, and whether the file holds all the bytes that its directory promises.</summary>
    private static (string What, string Remedy)? Unfit(PropertyBag bag, CameraBand band, long bytes)
    {
        double? columns = bag.Find(PropertyKey.Tiff(256))?.Number(0);
        double? rows = bag.Find(PropertyKey.Tiff(257))?.Number(0);
        if (columns is { } wide && rows is { } high && (wide != band.Sensor.Columns || high != band.Sensor.Rows))
        {
            return (
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"has {wide} × {high} pixels, but band {band.Name} of the camera profile {band.Sensor.Columns} × {band.Sensor.Rows}."
                ),
                "If another camera took it, give it to that camera's own intake; otherwise mend the profile."
            );
        }

        foreach ((int places, int sizes) in new[] { (273, 279), (324, 325) })
        {
            if (
                bag.Properties.GetValueOrDefault(PropertyKey.Tiff(places)) is not { } starts
                || bag.Properties.GetValueOrDefault(PropertyKey.Tiff(sizes)) is not { } lengths
            )
            {
                continue;
            }

            double end = 0;
            for (int block = 0; block < Math.Min(starts.Count, lengths.Count); block++)
            {
                end = Math.Max(end, (starts.Number(block) ?? 0) + (lengths.Number(block) ?? 0));
            }

            if (end > bytes)
            {
                return (
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"is cut short: it holds {bytes} bytes, but its pixels end at {end}."
                    ),
                    "Copy it from the card again."
                );
            }
        }

        return null;
    }
}
