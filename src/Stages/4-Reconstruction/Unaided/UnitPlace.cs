using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>Where a pixel would be in a picture of unit focal length without distortion.</summary>
internal static class UnitPlace
{
    public static bool TryOf(Lens lens, PixelPoint pixel, out PixelPoint place)
    {
        bool known = lens.TryRayOf(pixel, out Vector3D ray);
        place = known ? new PixelPoint(ray.X / ray.Z, ray.Y / ray.Z) : default;
        return known;
    }
}
