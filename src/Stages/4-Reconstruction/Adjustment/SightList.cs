using Hillrow.Imaging;

namespace Hillrow.Reconstruction;

/// <summary>Sights in the columns that the adjustment takes.</summary>
internal sealed class SightList(int count)
{
    private int next;

    public int[] Capture { get; } = new int[count];

    public int[] Point { get; } = new int[count];

    public PixelPoint[] Pixel { get; } = new PixelPoint[count];

    public double[] SigmaPixels { get; } = new double[count];

    public void Add(int capture, int point, PixelPoint pixel, double sigmaPixels)
    {
        (Capture[next], Point[next], Pixel[next], SigmaPixels[next]) = (capture, point, pixel, sigmaPixels);
        next++;
    }
}
