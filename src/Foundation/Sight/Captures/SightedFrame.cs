using Hillrow.Imaging;

namespace Hillrow.Sight;

/// <summary>One frame as it stood in the air: its pose and its lens.</summary>
public sealed record SightedFrame(CameraPose Pose, Lens Lens)
{
    /// <summary>Angle that one pixel spans at the middle of the frame, radians.</summary>
    public double PixelAngleRadians { get; } =
        Math.Sqrt(
            (
                Lens.RayOf(new PixelPoint((Lens.Columns / 2.0) + 0.5, Lens.Rows / 2.0))
                - Lens.RayOf(new PixelPoint((Lens.Columns / 2.0) - 0.5, Lens.Rows / 2.0))
            ).LengthSquared
        );
}
