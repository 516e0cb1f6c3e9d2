using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Where a pixel's ray meets the ground.</summary>
internal static class SurfaceSight
{
    private const double ReachMetres = 2000;

    /// <summary>False when the ray meets no ground within 2 km.</summary>
    public static bool TryHit(SightedFrame frame, PixelPoint pixel, HeightField surface, out Vector3D place)
    {
        place = default;
        if (!frame.Lens.TryRayOf(pixel, out Vector3D ray))
        {
            return false;
        }

        Vector3D direction = frame.Pose.ToLocalDirection(ray);
        if (!surface.TryHit(frame.Pose.CentreLocalMetres, direction, 0, ReachMetres, out double distance))
        {
            return false;
        }

        place = frame.Pose.CentreLocalMetres + (direction * distance);
        return true;
    }

    /// <summary>A place moved along the line of sight until it is higher by some metres.</summary>
    public static Vector3D Raised(Vector3D place, Vector3D from, double metres)
    {
        Vector3D towards = from - place;
        return place + (towards * (metres / towards.Z));
    }
}
