using Hillrow.Imaging;

namespace Hillrow.Reconstruction;

/// <summary>One sight of a track.</summary>
/// <param name="Capture">Index of the capture.</param>
/// <param name="Feature">Which of its features.</param>
/// <param name="Pixel">Where, in the reference band's frame.</param>
/// <param name="SizePixels">Of the feature: larger ones are placed less sharply.</param>
internal readonly record struct Sighting(int Capture, int Feature, PixelPoint Pixel, float SizePixels);

/// <summary>One spot of the ground seen by several captures, each at most once; in the order of captures.</summary>
internal sealed record Track(Sighting[] Sightings);
