using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>A control point in the adjustment.</summary>
/// <param name="Id">As surveyed.</param>
/// <param name="Place">As solved so far, local metres.</param>
/// <param name="Known">As surveyed, local metres.</param>
/// <param name="Marks">Where it was seen.</param>
internal sealed record ControlSpot(string Id, Vector3D Place, KnownPlace Known, IReadOnlyList<ControlSight> Marks);

/// <summary>A control point in a capture's reference frame.</summary>
/// <param name="Capture">Index of the capture.</param>
/// <param name="Pixel">Where.</param>
/// <param name="SigmaPixels">Standard error of column and of row.</param>
internal readonly record struct ControlSight(int Capture, PixelPoint Pixel, double SigmaPixels);
