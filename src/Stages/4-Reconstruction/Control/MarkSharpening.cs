using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>
/// Where a control point is a board of four fields, its middle is found in every frame that shows it, sharper than a
/// hand marks it and in more frames than a person has patience for. Heights gain most: a few marks right above a board
/// barely tell its height. Points that are no boards keep their marks.
/// </summary>
internal static class MarkSharpening
{
    private const int ReachPixels = 14;

    /// <summary>From where the survey, solved with the marks as given, expects the middle.</summary>
    private const double NearPixels = 3;

    /// <summary>Between middles found and the place they meet at.</summary>
    private const double MeetPixels = 0.75;

    private const int LeastFrames = 4;

    /// <summary>Of the frames that a person marked: where most of them show no board, the point is none.</summary>
    private const double LeastShareOfMarked = 0.6;

    /// <summary>Of a middle found: on drawn boards they lie within 0.2 pixels.</summary>
    private const double SigmaPixels = 0.2;

    /// <summary>The spots, with found middles for marks where there are enough that agree with each other and the marks.</summary>
    /// <param name="input">Where frames are read.</param>
    /// <param name="frames">As solved with the given marks; null where not placed.</param>
    /// <param name="spots">Control points.</param>
    /// <param name="options">Threads; the result does not depend on them.</param>
    public static IReadOnlyList<ControlSpot> Of(
        ReconstructionInput input,
        SightedFrame?[] frames,
        IReadOnlyList<ControlSpot> spots,
        ParallelOptions options
    )
    {
        string band = input.Profile.ReferenceBandName;
        BandSensor sensor = input.Profile.ReferenceBand.Sensor;
        PixelPoint?[][] found = [.. spots.Select(_ => new PixelPoint?[frames.Length])];
        Parallel.For(
            0,
            frames.Length,
            options,
            () => Array.Empty<ushort>(),
            (capture, _, counts) =>
            {
                bool read = false;
                for (int spot = 0; spot < spots.Count; spot++)
                {
                    if (Expected(frames[capture], spots[spot].Place) is not { } at)
                    {
                        continue;
                    }

                    if (!read)
                    {
                        if (input.Captures[capture].FrameOf(band) is not { } file)
                        {
                            break;
                        }

                        counts = counts.Length > 0 ? counts : new ushort[sensor.Rows * sensor.Columns];
                        input.Frames(input.Captures[capture], file, counts);
                        read = true;
                    }

                    found[spot][capture] = Middle(counts, sensor.Columns, at);
                }

                return counts;
            },
            _ => { }
        );
        return [.. spots.Select((spot, index) => Sharpened(spot, found[index], frames))];
    }

    private static PixelPoint? Expected(SightedFrame? frame, Vector3D place) =>
        frame is not null
        && frame.Lens.TryProject(frame.Pose.ToCamera(place), out PixelPoint pixel)
        && pixel.Column > ReachPixels + 1
        && pixel.Row > ReachPixels + 1
        && pixel.Column < frame.Lens.Columns - ReachPixels - 1
        && pixel.Row < frame.Lens.Rows - ReachPixels - 1
            ? pixel
            : null;

    private static PixelPoint? Middle(ReadOnlySpan<ushort> counts, int columns, PixelPoint expected)
    {
        const int Edge = (2 * ReachPixels) + 1;
        int left = (int)expected.Column - ReachPixels;
        int top = (int)expected.Row - ReachPixels;
        ushort[] window = new ushort[Edge * Edge];
        for (int row = 0; row < Edge; row++)
        {
            counts.Slice(((top + row) * columns) + left, Edge).CopyTo(window.AsSpan(row * Edge));
        }

        PixelPoint? best = null;
        double nearest = NearPixels;
        foreach (PixelPoint corner in TargetCorners.Find(window, Edge, Edge, Edge))
        {
            PixelPoint at = new(left + corner.Column, top + corner.Row);
            double far = Apart(at, expected);
            if (far <= nearest)
            {
                (nearest, best) = (far, at);
            }
        }

        return best;
    }

    private static ControlSpot Sharpened(ControlSpot spot, PixelPoint?[] found, SightedFrame?[] frames)
    {
        Sighting[] sights =
        [
            .. Enumerable
                .Range(0, found.Length)
                .Where(capture => found[capture] is not null)
                .Select(capture => new Sighting(capture, 0, found[capture]!.Value, 1)),
        ];
        if (
            sights.Length < LeastFrames
            || !RayMeeting.TryFind(sights, frames, MeetPixels, out _, out List<Sighting> agreeing)
            || agreeing.Count < LeastFrames
        )
        {
            return spot;
        }

        Dictionary<int, PixelPoint> middle = agreeing.ToDictionary(sight => sight.Capture, sight => sight.Pixel);
        int confirmed = spot.Marks.Count(mark =>
            middle.TryGetValue(mark.Capture, out PixelPoint at)
            && Apart(at, mark.Pixel) <= MeetPixels + (3 * mark.SigmaPixels)
        );
        return confirmed < LeastShareOfMarked * spot.Marks.Count
            ? spot
            : spot with
            {
                Marks = [.. agreeing.Select(sight => new ControlSight(sight.Capture, sight.Pixel, SigmaPixels))],
            };
    }

    private static double Apart(PixelPoint a, PixelPoint b) =>
        Math.Sqrt(((a.Column - b.Column) * (a.Column - b.Column)) + ((a.Row - b.Row) * (a.Row - b.Row)));
}
