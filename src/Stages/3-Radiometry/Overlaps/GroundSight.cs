using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Radiometry;

/// <summary>Between places in a capture's frame and places on the ground.</summary>
internal sealed class GroundSight
{
    private readonly HeightField surface;
    private readonly SightedFrame[][] frames;
    private readonly double[] heights;

    public GroundSight(OverlapInput input, IReadOnlyList<CaptureLooks> captures)
    {
        surface = input.Surface;
        Dictionary<string, PlacedCapture> placed = input
            .Geometry.Captures.Where(capture => capture.Placed)
            .ToDictionary(capture => capture.CaptureId);
        BandGeometry[] bands = [.. input.Frames.Bands.Select(input.Geometry.BandOf)];
        frames =
        [
            .. captures.Select(capture =>
                bands.Select(band => input.Geometry.FrameOf(placed[capture.Capture.Id], band)).ToArray()
            ),
        ];
        heights = [.. captures.Select(capture => capture.HeightMetres)];
    }

    /// <summary>Where a place of a frame lies; null when its ray goes nowhere near.</summary>
    private Vector3D? GroundOf(int capture, int band, double rowShare, double columnShare)
    {
        SightedFrame frame = frames[capture][band];
        PixelPoint pixel = new(columnShare * frame.Lens.Columns, rowShare * frame.Lens.Rows);
        if (!frame.Lens.TryRayOf(pixel, out Vector3D ray))
        {
            return null;
        }

        Vector3D centre = frame.Pose.CentreLocalMetres;
        Vector3D direction = frame.Pose.ToLocalDirection(ray).Normalized();
        if (!(direction.Z < -0.1))
        {
            return null;
        }

        double level = heights[capture] / -direction.Z;
        return centre + (direction * (surface.TryHit(centre, direction, 0.5, 3 * level, out double hit) ? hit : level));
    }

    /// <summary>Where another band's frame of the same capture shows what is at a place of one band's frame.</summary>
    public (double RowShare, double ColumnShare) InBand(
        int capture,
        int band,
        double rowShare,
        double columnShare,
        int otherBand
    ) =>
        band != otherBand
        && GroundOf(capture, band, rowShare, columnShare) is { } ground
        && frames[capture][otherBand] is { } frame
        && frame.Lens.TryProject(frame.Pose.ToCamera(ground), out PixelPoint pixel)
            ? (pixel.Row / frame.Lens.Rows, pixel.Column / frame.Lens.Columns)
            : (rowShare, columnShare);
}
