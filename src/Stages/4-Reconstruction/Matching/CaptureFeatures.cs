using Hillrow.Imaging;

namespace Hillrow.Reconstruction;

/// <summary>The features of a capture's reference frame that matching uses, spread evenly, strongest first.</summary>
internal sealed class CaptureFeatures
{
    private const int CellsAcross = 16;
    private const int CellsDown = 12;

    private CaptureFeatures(PixelPoint[] places, float[] sizes, byte[] descriptors)
    {
        Places = places;
        Sizes = sizes;
        Descriptors = descriptors;
    }

    public PixelPoint[] Places { get; }

    public float[] Sizes { get; }

    /// <summary>Places.Length × 128 bytes.</summary>
    public byte[] Descriptors { get; }

    public int Count => Places.Length;

    public ReadOnlySpan<byte> Descriptor(int feature) =>
        Descriptors.AsSpan(feature * PictureFeatures.DescriptorLength, PictureFeatures.DescriptorLength);

    public static CaptureFeatures None { get; } = new([], [], []);

    /// <summary>Keeps about <paramref name="wanted"/> features, as equally shared by a lattice of cells as the picture allows.</summary>
    public static CaptureFeatures Spread(PictureFeatures found, int rows, int columns, int wanted)
    {
        int[] cellOf = new int[found.Features.Count];
        int[] rank = new int[found.Features.Count];
        int[] filled = new int[CellsAcross * CellsDown];
        for (int index = 0; index < cellOf.Length; index++)
        {
            PixelPoint place = found.Features[index].Place;
            int across = Math.Clamp((int)(place.Column * CellsAcross / columns), 0, CellsAcross - 1);
            int down = Math.Clamp((int)(place.Row * CellsDown / rows), 0, CellsDown - 1);
            cellOf[index] = (down * CellsAcross) + across;
            rank[index] = filled[cellOf[index]]++;
        }

        // The features come strongest first; the n-th of every cell is taken before the n+1-th of any.
        int[] order = [.. Enumerable.Range(0, cellOf.Length).OrderBy(index => rank[index]).ThenBy(index => index)];
        int kept = Math.Min(wanted, order.Length);
        PixelPoint[] places = new PixelPoint[kept];
        float[] sizes = new float[kept];
        byte[] descriptors = new byte[kept * PictureFeatures.DescriptorLength];
        for (int at = 0; at < kept; at++)
        {
            PictureFeature feature = found.Features[order[at]];
            places[at] = feature.Place;
            sizes[at] = feature.SizePixels;
            found
                .DescriptorOf(order[at])
                .CopyTo(descriptors.AsSpan(at * PictureFeatures.DescriptorLength, PictureFeatures.DescriptorLength));
        }

        return new CaptureFeatures(places, sizes, descriptors);
    }
}
