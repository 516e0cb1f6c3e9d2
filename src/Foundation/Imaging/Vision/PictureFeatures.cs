namespace Hillrow.Imaging;

/// <summary>A distinct spot of a picture.</summary>
/// <param name="Place">Our pixel convention.</param>
/// <param name="SizePixels">Diameter of the neighbourhood it is described by.</param>
/// <param name="AngleDegrees">Direction of its strongest gradient, 0 … 360, clockwise from the columns' axis.</param>
/// <param name="Response">Contrast; larger is more distinct.</param>
public readonly record struct PictureFeature(PixelPoint Place, float SizePixels, float AngleDegrees, float Response);

/// <summary>The features of one picture with their descriptors.</summary>
/// <param name="Features">Most distinct first; equal ones by place.</param>
/// <param name="Descriptors">Features.Count × 128 bytes, row-major.</param>
public sealed record PictureFeatures(IReadOnlyList<PictureFeature> Features, byte[] Descriptors)
{
    public const int DescriptorLength = 128;

    public ReadOnlySpan<byte> DescriptorOf(int feature) =>
        Descriptors.AsSpan(feature * DescriptorLength, DescriptorLength);
}
