namespace Hillrow.Planning;

/// <summary>How far the picture moves on the sensor while the shutter is open, pixels.</summary>
/// <remarks>Pinhole geometry; ANCHORS.md A6 and A7 give the numbers (one printed source forgot to turn km/h into m/s).</remarks>
public static class MotionBlur
{
    /// <summary>By flying: v t / pixel on the ground.</summary>
    public static double OfTravel(double speedMetresPerSecond, double exposureSeconds, double pixelMetres) =>
        speedMetresPerSecond * exposureSeconds / pixelMetres;

    /// <summary>By turning across the line of sight: ω t f.</summary>
    public static double OfRotation(double radiansPerSecond, double exposureSeconds, double focalPixels) =>
        radiansPerSecond * exposureSeconds * focalPixels;

    /// <summary>Fastest speed that keeps a blur.</summary>
    public static double FastestSpeed(double blurPixels, double exposureSeconds, double pixelMetres) =>
        blurPixels * pixelMetres / exposureSeconds;
}
