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
                    return At(ref file, open, frame.Page, band, black) with { Plane = band.Plane ?? 0 };
                }),
            ];
        }
        finally
        {
            file?.Dispose();
        }
    }

    /// <summary>One page.</summary>
    /// <param name="open">Opens the file.</param>
    public static PageLook At(Func<PictureFile> open, int page, CameraBand band, double blackCounts)
    {
        PictureFile? file = null;
        try
        {
            return At(ref file, open, page, band, blackCounts) with { Plane = band.Plane ?? 0 };
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
        double blackCounts
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
            return new PageLook(
                page,
                FrameLook.Of(
                    samples.Slice((band.Plane ?? 0) * info.Rows * info.Columns, info.Rows * info.Columns),
                    band.Sensor,
                    blackCounts
                ),
                null,
                false
            );
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
