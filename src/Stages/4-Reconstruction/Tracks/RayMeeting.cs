using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>The place nearest to the lines of sight of a track.</summary>
internal static class RayMeeting
{
    /// <summary>Rays that cross at less than this (radians) tell no distance.</summary>
    private const double LeastAngle = 0.01;

    /// <summary>
    /// Least-squares place of the sights, dropping the worst sight while one is off by more than the tolerance and
    /// enough are left.
    /// </summary>
    /// <param name="sightings">Of one track; the dropped ones are left out of <paramref name="kept"/>.</param>
    /// <param name="frames">By capture; null where the capture is not placed.</param>
    /// <param name="tolerancePixels">Largest distance between sight and projected place.</param>
    /// <param name="place">Local metres.</param>
    /// <param name="kept">The sights that agree.</param>
    public static bool TryFind(
        IReadOnlyList<Sighting> sightings,
        SightedFrame?[] frames,
        double tolerancePixels,
        out Vector3D place,
        out List<Sighting> kept
    )
    {
        kept = [.. sightings.Where(sight => frames[sight.Capture] is not null)];
        place = default;
        while (kept.Count >= 2)
        {
            if (!TryMeet(kept, frames, out place))
            {
                return false;
            }

            int worst = -1;
            double miss = tolerancePixels;
            for (int at = 0; at < kept.Count; at++)
            {
                SightedFrame frame = frames[kept[at].Capture]!;
                double off = frame.Lens.TryProject(frame.Pose.ToCamera(place), out PixelPoint pixel)
                    ? Math.Sqrt(Square(pixel.Column - kept[at].Pixel.Column) + Square(pixel.Row - kept[at].Pixel.Row))
                    : double.PositiveInfinity;
                if (off > miss)
                {
                    (miss, worst) = (off, at);
                }
            }

            if (worst < 0)
            {
                return true;
            }

            kept.RemoveAt(worst);
        }

        return false;
    }

    private static double Square(double value) => value * value;

    private static bool TryMeet(List<Sighting> sightings, SightedFrame?[] frames, out Vector3D place)
    {
        place = default;
        double xx = 0;
        double xy = 0;
        double xz = 0;
        double yy = 0;
        double yz = 0;
        double zz = 0;
        Vector3D right = default;
        Vector3D first = default;
        double widest = 0;
        foreach (Sighting sight in sightings)
        {
            SightedFrame frame = frames[sight.Capture]!;
            if (!frame.Lens.TryRayOf(sight.Pixel, out Vector3D ray))
            {
                return false;
            }

            Vector3D d = frame.Pose.ToLocalDirection(ray);
            Vector3D c = frame.Pose.CentreLocalMetres;
            if (first == default)
            {
                first = d;
            }

            widest = Math.Max(widest, Vector3D.Cross(first, d).Length);
            xx += 1 - (d.X * d.X);
            yy += 1 - (d.Y * d.Y);
            zz += 1 - (d.Z * d.Z);
            xy -= d.X * d.Y;
            xz -= d.X * d.Z;
            yz -= d.Y * d.Z;
            right += c - (d * Vector3D.Dot(d, c));
        }

        if (widest < LeastAngle)
        {
            return false;
        }

        Matrix3D normal = new(xx, xy, xz, xy, yy, yz, xz, yz, zz);
        double determinant = normal.Determinant;
        if (determinant <= 1e-12)
        {
            return false;
        }

        Vector3D r1 = Vector3D.Cross(normal.Row2, normal.Row3);
        Vector3D r2 = Vector3D.Cross(normal.Row3, normal.Row1);
        Vector3D r3 = Vector3D.Cross(normal.Row1, normal.Row2);
        place = ((r1 * right.X) + (r2 * right.Y) + (r3 * right.Z)) / determinant;
        return true;
    }
}
