using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Sight;

/// <summary>The outline on the ground of what a frame sees.</summary>
/// <param name="OutlineLocalMetres">Where the rays of the frame's border meet the surface, clockwise in the picture.</param>
/// <param name="Complete">False when some border rays met no surface (sky, void, edge of the field); those are left out.</param>
public sealed record Footprint(IReadOnlyList<Vector3D> OutlineLocalMetres, bool Complete)
{
    /// <summary>Casts the rays of the frame's outer edge on the surface.</summary>
    /// <param name="frame">Pose and lens.</param>
    /// <param name="surface">In the same local frame as the pose.</param>
    /// <param name="raysPerEdge">8 keep the outline within a pixel or two for lenses with ordinary distortion.</param>
    /// <param name="reachMetres">Farther hits do not count.</param>
    public static Footprint Of(SightedFrame frame, HeightField surface, int raysPerEdge = 8, double reachMetres = 5000)
    {
        ArgumentNullException.ThrowIfNull(frame);
        ArgumentNullException.ThrowIfNull(surface);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(raysPerEdge);
        List<Vector3D> outline = [];
        bool complete = true;
        foreach (PixelPoint pixel in Border(frame.Lens, raysPerEdge))
        {
            if (
                frame.Lens.TryRayOf(pixel, out Vector3D ray)
                && surface.TryHit(
                    frame.Pose.CentreLocalMetres,
                    frame.Pose.ToLocalDirection(ray),
                    0,
                    reachMetres,
                    out double distance
                )
            )
            {
                outline.Add(frame.Pose.CentreLocalMetres + (frame.Pose.ToLocalDirection(ray) * distance));
            }
            else
            {
                complete = false;
            }
        }

        return new Footprint(outline, complete);
    }

    /// <summary>Places along the outer edge of a frame, clockwise from its first pixel's corner.</summary>
    internal static IEnumerable<PixelPoint> Border(Lens lens, int raysPerEdge)
    {
        for (int step = 0; step < raysPerEdge; step++)
        {
            yield return new PixelPoint(lens.Columns * (double)step / raysPerEdge, 0);
        }

        for (int step = 0; step < raysPerEdge; step++)
        {
            yield return new PixelPoint(lens.Columns, lens.Rows * (double)step / raysPerEdge);
        }

        for (int step = 0; step < raysPerEdge; step++)
        {
            yield return new PixelPoint(lens.Columns * (1 - ((double)step / raysPerEdge)), lens.Rows);
        }

        for (int step = 0; step < raysPerEdge; step++)
        {
            yield return new PixelPoint(0, lens.Rows * (1 - ((double)step / raysPerEdge)));
        }
    }
}
