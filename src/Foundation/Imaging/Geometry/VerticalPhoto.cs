using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>Arithmetic of a picture taken straight down over level ground. Lengths in metres unless named.</summary>
/// <remarks>Textbook geometry (P. R. Wolf and B. A. Dewitt, Elements of Photogrammetry, from memory); checked in tests/Reference/camera-geometry/gsd_overlap.json.</remarks>
public static class VerticalPhoto
{
    /// <summary>Ground covered by one pixel: height · pitch / focal length.</summary>
    public static double GroundSampleMetres(
        double heightAboveGroundMetres,
        double pixelPitchMicrometres,
        double focalMillimetres
    ) => heightAboveGroundMetres * pixelPitchMicrometres * 1e-3 / focalMillimetres;

    public static double FootprintMetres(int pixels, double groundSampleMetres) => pixels * groundSampleMetres;

    /// <summary>Distance between neighbouring pictures or lines that keeps a share of overlap, 0 … 1.</summary>
    public static double SpacingMetres(double footprintMetres, double overlap) => footprintMetres * (1 - overlap);

    public static double TriggerIntervalSeconds(double baseMetres, double speedMetresPerSecond) =>
        baseMetres / speedMetresPerSecond;

    /// <summary>Pixels the ground moves while the shutter is open.</summary>
    public static double BlurPixels(double speedMetresPerSecond, double exposureSeconds, double groundSampleMetres) =>
        speedMetresPerSecond * exposureSeconds / groundSampleMetres;

    /// <summary>Full angle of view over a number of pixels.</summary>
    public static Angle FieldOfView(int pixels, double pixelPitchMicrometres, double focalMillimetres) =>
        Angle.FromRadians(2 * Math.Atan(pixels * pixelPitchMicrometres * 1e-3 / (2 * focalMillimetres)));

    /// <summary>Overlap that is left where the ground lies higher than planned, spacing unchanged: 1 − (1 − o) H / (H − rise).</summary>
    public static double OverlapOverRisenGround(double plannedOverlap, double plannedHeightMetres, double riseMetres) =>
        1 - ((1 - plannedOverlap) * plannedHeightMetres / (plannedHeightMetres - riseMetres));

    /// <summary>Denominator of the picture's scale.</summary>
    public static double ScaleDenominator(double heightAboveGroundMetres, double focalMillimetres) =>
        heightAboveGroundMetres * 1000 / focalMillimetres;

    /// <summary>How far the top of an object leans outwards in the picture: r h / H, in the unit of the radial distance.</summary>
    public static double ReliefDisplacement(double radialDistance, double objectHeight, double flyingHeightAboveBase) =>
        radialDistance * objectHeight / flyingHeightAboveBase;
}
