using System.Globalization;
using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Size against the profile, and whether the file holds all the bytes that its directory promises.</summary>
internal static class FrameFitness
{
    /// <summary>Null when the frame is as large as the profile says; else what makes the note for a file.</summary>
    /// <param name="bag">Of the frame's page.</param>
    /// <param name="band">Of the profile.</param>
    /// <param name="mark">Of the camera.</param>
    public static Func<string, IntakeNote>? OtherSize(PropertyBag bag, CameraBand band, CameraMark mark)
    {
        double? columns = First(bag, 256);
        double? rows = First(bag, 257);
        if (columns is { } wide && rows is { } high && (wide != band.Sensor.Columns || high != band.Sensor.Rows))
        {
            return file => new IntakeNote(
                NoteWeight.Excluded,
                file,
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"has {wide} × {high} pixels, but band {band.Name} of the camera profile {band.Sensor.Columns} × {band.Sensor.Rows}."
                ),
                "If another camera took it, give it to that camera's own intake; otherwise mend the profile."
            )
            {
                Fault = FrameFault.OtherCamera,
                Camera = mark.IsEmpty ? "" : mark.ToString(),
            };
        }

        return null;
    }

    /// <summary>Null when all bytes that the directory promises are there; else what makes the note for a file. What names the band may be cut off with them.</summary>
    /// <param name="bag">Of the frame's page.</param>
    /// <param name="bytes">The file's length.</param>
    /// <param name="closed">False for a JPEG without its closing marker.</param>
    public static Func<string, IntakeNote>? CutShort(PropertyBag bag, long bytes, bool closed)
    {
        if (!closed)
        {
            return file => Note(file, "is cut short: its picture has no closing marker.");
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
                return file =>
                    Note(
                        file,
                        string.Create(
                            CultureInfo.InvariantCulture,
                            $"is cut short: it holds {bytes} bytes, but its pixels end at {end}."
                        )
                    );
            }
        }

        return null;
    }

    private static double? First(PropertyBag bag, int tag) =>
        bag.Find(PropertyKey.Tiff(tag)) is { Count: > 0 } value ? value.Number(0) : null;

    private static IntakeNote Note(string file, string what) =>
        new(NoteWeight.Excluded, file, what, "Copy it from the card again.") { Fault = FrameFault.Unreadable };
}
