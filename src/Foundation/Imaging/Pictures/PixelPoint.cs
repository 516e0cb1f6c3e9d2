namespace Hillrow.Imaging;

/// <summary>A place in a picture. The outer corner of the first pixel is (0, 0), its centre (0.5, 0.5).</summary>
/// <remarks>OpenCV puts the first pixel's centre at (0, 0): add or take away 0.5 at that door, nowhere else.</remarks>
public readonly record struct PixelPoint(double Column, double Row);
