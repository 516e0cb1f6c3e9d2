using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>One spot seen in the reference band and found in another.</summary>
/// <param name="Capture">Which capture showed both.</param>
/// <param name="InReferenceMetres">The spot in the reference band's camera frame.</param>
/// <param name="Seen">Where it was found in the other band's frame.</param>
internal readonly record struct BandTie(int Capture, Vector3D InReferenceMetres, PixelPoint Seen);
