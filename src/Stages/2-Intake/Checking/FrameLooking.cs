using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>How one page of a file looks, or why that cannot be said.</summary>
/// <param name="Page">0 is the first.</param>
/// <param name="Look">Null when the pixels cannot be read.</param>
/// <param name="Problem">Why; null when there is a look.</param>
/// <param name="OtherCamera">The pixels can be read but are not as the profile says.</param>
public sealed record PageLook(int Page, FrameLook? Look, string? Problem, bool OtherCamera)
{
    /// <summary>Sample of each pixel that was looked at, where a picture holds several bands.</summary>
    public int Plane { get; init; }

    /// <summary>Of the reference band's frames, for placing captures by each other; null for all others.</summary>
    public FrameThumbnail? Thumbnail { get; init; }
}

/// <summary>Decodes frames and looks at them.</summary>
internal static class FrameLooking
{
    [ThreadStatic]
    private static ushort[]? buffer;

    /// <summary>Every frame of one file; a problem of the file is told for each.</summary>
    public static IReadOnlyList<PageLook> AtAll(
        CameraProfile profile,
        IReadOnlyList<CardFrame> frames,
        Func<PictureFile> open
    )
    {
        if (frames.Count == 0)
        {
            return [];
        }

        PictureFile? file = null;
        try
        {
            return
            [
                .. frames.Select(frame =>
                {
                    CameraBand band = profile.Band(frame.Band);
                    double black =
                        CaptureMaking.BlackLevel(profile, frame.Metadata.BlackLevelsCounts, frame.Band)
                        ?? band.BlackLevel.Counts;
                    return At(ref file, open, frame.Page, band, black, IsReference(profile, band)) with
                    {
                        Plane = band.Plane ?? 0,
                    };
                }),
            ];
        }
        finally
        {
            file?.Dispose();
        }
    }

    private static bool IsReference(CameraProfile profile, CameraBand band) => band.Name == profile.ReferenceBand.Name;

    /// <summary>One page.</summary>
    /// <param name="profile">Of the camera.</param>
    /// <param name="open">Opens the file.</param>
    /// <param name="page">From 0.</param>
    /// <param name="band">Of the frame.</param>
    /// <param name="blackCounts">Of the frame.</param>
    public static PageLook At(
        CameraProfile profile,
        Func<PictureFile> open,
        int page,
        CameraBand band,
        double blackCounts
    )
    {
        PictureFile? file = null;
        try
        {
            return At(ref file, open, page, band, blackCounts, IsReference(profile, band)) with
            {
                Plane = band.Plane ?? 0,
            };
        }
        finally
        {
            file?.Dispose();
        }
    }

    private static PageLook At(
        ref PictureFile? opened,
        Func<PictureFile> open,
        int page,
        CameraBand band,
        double blackCounts,
        bool thumbnail
    )
    {
        try
        {
            PictureFile file = opened ??= open();
            PictureInfo info = file.Pages[Math.Min(page, file.Pages.Count - 1)];
            if (
                !info.IsCounts
                || info.Rows != band.Sensor.Rows
                || info.Columns != band.Sensor.Columns
                || (band.Plane ?? 0) >= info.Bands
                || page >= file.Pages.Count
            )
            {
                return new PageLook(
                    page,
                    null,
                    $"has {info.Columns} × {info.Rows} pixels of {info.Bands} sample(s), not as the profile says.",
                    true
                );
            }

            if (buffer is null || buffer.Length < info.SampleCount)
            {
                buffer = new ushort[info.SampleCount];
            }

            Span<ushort> samples = buffer.AsSpan(0, (int)info.SampleCount);
            file.ReadCounts(page, samples);
            ReadOnlySpan<ushort> plane = samples.Slice(
                (band.Plane ?? 0) * info.Rows * info.Columns,
                info.Rows * info.Columns
            );
            return new PageLook(page, FrameLook.Of(plane, band.Sensor, blackCounts), null, false)
            {
                Thumbnail = thumbnail ? FrameThumbnail.Of(plane, info.Rows, info.Columns) : null,
            };
        }
        catch (InputProblemException fault)
        {
            return new PageLook(page, null, $"cannot be read: {fault.Problem}", false);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return new PageLook(page, null, "the file cannot be opened.", false);
        }
    }
}
