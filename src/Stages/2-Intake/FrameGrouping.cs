using System.Security.Cryptography;
using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Puts frames together into captures: by capture id, else by name, else by time.</summary>
internal sealed class FrameGrouping(CameraProfile profile, IntakeSettings settings, List<IntakeNote> notes)
{
    public int Copies { get; private set; }

    /// <summary>Groups, each with at most one frame a band, frames in the profile's order of bands.</summary>
    public IReadOnlyList<IReadOnlyList<CardFrame>> Group(IReadOnlyList<CardFrame> frames)
    {
        List<CardFrame> named = [.. frames.Where(frame => frame.Metadata.CaptureId is not null)];
        List<List<CardFrame>> groups = SplitByTime(named.GroupBy(frame => frame.Metadata.CaptureId!));
        List<CardFrame> rest = [.. frames.Where(frame => frame.Metadata.CaptureId is null)];
        groups.AddRange(GroupUnnamed(rest));
        List<IReadOnlyList<CardFrame>> captures = [];
        foreach (List<CardFrame> group in groups)
        {
            captures.AddRange(OneFrameEachBand(group));
        }

        return captures;
    }

    private List<List<CardFrame>> GroupUnnamed(List<CardFrame> frames)
    {
        if (frames.Count == 0)
        {
            return [];
        }

        List<List<CardFrame>> best = SplitByTime(frames.GroupBy(frame => Stem(frame, words: true)));
        List<List<CardFrame>> other = SplitByTime(frames.GroupBy(frame => Stem(frame, words: false)));
        if (Complete(other) > Complete(best))
        {
            best = other;
        }

        bool alone = profile.Bands.Count > 1 && best.TrueForAll(group => group.Count == 1);
        if (alone && frames.TrueForAll(frame => frame.Clock is not null))
        {
            best = ByTime(frames);
            notes.Add(
                new IntakeNote(
                    NoteWeight.Assumed,
                    "card",
                    "neither ids nor names tell which frames belong together: grouped by their time.",
                    "Tell captureId in the camera profile's metadata map."
                )
            );
        }

        return best;
    }

    private int Complete(List<List<CardFrame>> groups) =>
        groups.Count(group => group.Select(frame => frame.Band).Distinct().Count() == profile.Bands.Count);

    /// <summary>The name without what tells the band: words that name it, or else the last word or number.</summary>
    private string Stem(CardFrame frame, bool words)
    {
        string name = Path.GetFileNameWithoutExtension(frame.File);
        if (frame.Page > 0 || profile.Bands.Count == 1 || profile.IsColour)
        {
            return name;
        }

        if (words)
        {
            string[] kept =
            [
                .. BandIdentity
                    .Words(name)
                    .Where(word =>
                        !profile.Bands.Any(band => band.Name.Equals(word, StringComparison.OrdinalIgnoreCase))
                    ),
            ];
            return string.Join('_', kept);
        }

        int cut = name.LastIndexOfAny(['_', '-', '.', ' ']);
        return cut > 0 ? name[..cut] : name.TrimEnd('0', '1', '2', '3', '4', '5', '6', '7', '8', '9');
    }

    /// <summary>Counters start again on a new card: one key may stand for several triggers, told apart by time, else by folder.</summary>
    private List<List<CardFrame>> SplitByTime(IEnumerable<IGrouping<string, CardFrame>> keyed)
    {
        List<List<CardFrame>> groups = [];
        foreach (IGrouping<string, CardFrame> key in keyed)
        {
            CardFrame[] timed = [.. key.Where(frame => frame.Clock is not null).OrderBy(frame => frame.Clock)];
            List<CardFrame>? current = null;
            DateTime? last = null;
            foreach (CardFrame frame in timed)
            {
                if (current is null || (frame.Clock!.Value - last!.Value).TotalSeconds > settings.FrameSpreadSeconds)
                {
                    groups.Add(current = []);
                }

                current.Add(frame);
                last = frame.Clock;
            }

            // A frame that lost its time still belongs to its name's only trigger; without any time the folders tell.
            CardFrame[] untimed = [.. key.Where(frame => frame.Clock is null)];
            bool only = timed.Length > 0 && current!.Count == timed.Length;
            foreach (
                IGrouping<string?, CardFrame> folder in untimed.GroupBy(frame => Path.GetDirectoryName(frame.File))
            )
            {
                if (only)
                {
                    current!.AddRange(folder);
                }
                else
                {
                    groups.Add([.. folder]);
                }
            }
        }

        return groups;
    }

    private List<List<CardFrame>> ByTime(List<CardFrame> frames)
    {
        double reach = Math.Min(settings.FrameSpreadSeconds, 0.45 * profile.ShortestTriggerIntervalSeconds);
        List<List<CardFrame>> groups = [];
        foreach (
            CardFrame frame in frames.OrderBy(frame => frame.Clock).ThenBy(frame => frame.File, StringComparer.Ordinal)
        )
        {
            List<CardFrame>? current = groups.Count > 0 ? groups[^1] : null;
            if (current is null || (frame.Clock!.Value - current[0].Clock!.Value).TotalSeconds > reach)
            {
                groups.Add(current = []);
            }

            current.Add(frame);
        }

        return groups;
    }

    /// <summary>Copies of the same content count once; different contents of the same band and trigger are told.</summary>
    private List<IReadOnlyList<CardFrame>> OneFrameEachBand(List<CardFrame> group)
    {
        List<CardFrame> kept = [];
        foreach (CameraBand band in profile.Bands)
        {
            CardFrame[] all =
            [
                .. group
                    .Where(frame => frame.Band == band.Name)
                    .OrderBy(frame => frame.File, StringComparer.Ordinal)
                    .ThenBy(frame => frame.Page),
            ];
            if (all.Length == 0)
            {
                continue;
            }

            kept.Add(all[0]);
            string? first = all.Length > 1 ? Hash(all[0]) : null;
            foreach (CardFrame extra in all.AsSpan(1))
            {
                bool copy = extra.Bytes == all[0].Bytes && extra.Page == all[0].Page && Hash(extra) == first;
                if (band.Plane is > 0)
                {
                    // Told of the picture once, by its first band.
                    continue;
                }

                Copies += copy ? 1 : 0;
                notes.Add(
                    copy
                        ? new IntakeNote(
                            NoteWeight.Told,
                            extra.File,
                            $"holds the same as {all[0].File}: counted once.",
                            ""
                        )
                        {
                            Fault = FrameFault.Duplicate,
                        }
                        : new IntakeNote(
                            NoteWeight.Excluded,
                            extra.File,
                            $"is a second frame of band {band.Name} in the capture of {all[0].File}: left out.",
                            "Check captureId and bandName of the camera profile's metadata map."
                        )
                        {
                            Fault = FrameFault.OtherCamera,
                        }
                );
            }
        }

        return [kept];
    }

    private static string Hash(CardFrame frame)
    {
        if (frame.Sha256 is { } known)
        {
            return known;
        }

        if (frame.FullPath is null)
        {
            return frame.File;
        }

        try
        {
            using FileStream stream = File.OpenRead(frame.FullPath);
            return Convert.ToHexStringLower(SHA256.HashData(stream));
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return frame.File;
        }
    }
}
