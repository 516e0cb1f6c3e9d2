using System.Globalization;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>One page of one file of the folder to learn from.</summary>
/// <param name="File">Relative to the folder, forward slashes.</param>
/// <param name="Path">Full path.</param>
/// <param name="Page">Of the file.</param>
/// <param name="Pages">Pages of the file.</param>
/// <param name="Bag">Its properties.</param>
internal sealed record SampleFrame(string File, string Path, int Page, int Pages, PropertyBag Bag);

/// <summary>What the pixels of a page show.</summary>
/// <param name="Frame">Index of the frame.</param>
/// <param name="Info">Shape.</param>
/// <param name="Largest">Largest sample.</param>
/// <param name="Smallest">Smallest sample.</param>
/// <param name="LowZeroBits">Low bits that are zero in every sample.</param>
internal sealed record SamplePixels(int Frame, PictureInfo Info, int Largest, int Smallest, int LowZeroBits);

/// <summary>The frames of a folder, and the pixels of some of them.</summary>
internal sealed class LearningSample
{
    /// <summary>More files teach nothing new; a whole sortie is below.</summary>
    private const int MostFiles = 6000;

    private const int PixelFrames = 64;

    private static readonly string[] Endings = [".tif", ".tiff", ".jpg", ".jpeg"];

    public required IReadOnlyList<SampleFrame> Frames { get; init; }

    public required IReadOnlyList<SamplePixels> Pixels { get; init; }

    public required int Files { get; init; }

    public required IReadOnlyList<string> Unread { get; init; }

    /// <exception cref="InputProblemException">No such folder, or no readable picture in it.</exception>
    public static LearningSample Read(string folder, CancellationToken cancel)
    {
        if (!Directory.Exists(folder))
        {
            throw new InputProblemException(folder, "there is no such folder.", "Name a folder of one camera's files.");
        }

        EnumerationOptions options = new()
        {
            RecurseSubdirectories = true,
            MaxRecursionDepth = 24,
            IgnoreInaccessible = true,
            AttributesToSkip = FileAttributes.None,
        };
        string root = Path.GetFullPath(folder);
        string[] files =
        [
            .. Directory
                .EnumerateFiles(root, "*", options)
                .Where(file =>
                    Endings.Contains(Path.GetExtension(file).ToLowerInvariant())
                    && !Path.GetFileName(file).StartsWith('.')
                )
                .Order(StringComparer.Ordinal)
                .Take(MostFiles),
        ];
        IReadOnlyList<PropertyBag>?[] bags = new IReadOnlyList<PropertyBag>?[files.Length];
        string?[] faults = new string?[files.Length];
        Parallel.For(
            0,
            files.Length,
            new ParallelOptions { CancellationToken = cancel },
            at =>
            {
                try
                {
                    bags[at] = PropertyBag.ReadPages(files[at]);
                }
                catch (InputProblemException fault)
                {
                    faults[at] = fault.Message;
                }
                catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
                {
                    faults[at] = $"{files[at]}: cannot be opened.";
                }
            }
        );
        List<SampleFrame> frames = [];
        for (int at = 0; at < files.Length; at++)
        {
            if (bags[at] is { } pages)
            {
                string name = Path.GetRelativePath(root, files[at]).Replace('\\', '/');
                frames.AddRange(pages.Select((bag, page) => new SampleFrame(name, files[at], page, pages.Count, bag)));
            }
        }

        List<SamplePixels> pixels = LookAt(frames);
        return pixels.Count == 0
            ? throw new InputProblemException(
                folder,
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"no TIFF or JPEG picture of {files.Length} in it can be read."
                ),
                faults.FirstOrDefault(fault => fault is not null) ?? "Name a folder of one camera's files."
            )
            : new LearningSample
            {
                Frames = frames,
                Pixels = pixels,
                Files = files.Length,
                Unread = [.. faults.OfType<string>()],
            };
    }

    private static List<SamplePixels> LookAt(List<SampleFrame> frames)
    {
        List<SamplePixels> seen = [];
        int wanted = Math.Min(frames.Count, PixelFrames);
        for (int at = 0; at < wanted; at++)
        {
            // A step of a large prime visits all bands, however the files are ordered.
            int index = (int)(at * 7919L % frames.Count);
            SampleFrame frame = frames[index];
            try
            {
                Picture picture = PictureReader.Read(frame.Path, page: frame.Page);
                if (picture.IsCounts)
                {
                    seen.Add(Measure(index, picture));
                }
            }
            catch (InputProblemException)
            {
                // A damaged frame teaches nothing; intake tells of it.
            }
        }

        return seen;
    }

    private static SamplePixels Measure(int index, Picture picture)
    {
        int bits = 0;
        int largest = 0;
        int smallest = ushort.MaxValue;
        for (int band = 0; band < picture.Bands; band++)
        {
            foreach (ushort count in picture.Counts(band))
            {
                bits |= count;
                largest = Math.Max(largest, count);
                smallest = Math.Min(smallest, count);
            }
        }

        return new SamplePixels(
            index,
            picture.Info,
            largest,
            smallest,
            bits == 0 ? 0 : System.Numerics.BitOperations.TrailingZeroCount(bits)
        );
    }
}
