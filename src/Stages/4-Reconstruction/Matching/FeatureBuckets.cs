using Hillrow.Imaging;

namespace Hillrow.Reconstruction;

/// <summary>Features of a frame sorted into square buckets, to find those near a place.</summary>
internal sealed class FeatureBuckets
{
    private readonly double edge;
    private readonly int across;
    private readonly int down;
    private readonly int[] starts;
    private readonly int[] items;

    public FeatureBuckets(PixelPoint[] places, int rows, int columns, double edgePixels)
    {
        edge = edgePixels;
        across = (int)Math.Ceiling(columns / edgePixels);
        down = (int)Math.Ceiling(rows / edgePixels);
        starts = new int[(across * down) + 1];
        items = new int[places.Length];
        int[] bucket = new int[places.Length];
        for (int index = 0; index < places.Length; index++)
        {
            bucket[index] = (Clamp(places[index].Row, down) * across) + Clamp(places[index].Column, across);
            starts[bucket[index] + 1]++;
        }

        for (int at = 0; at < across * down; at++)
        {
            starts[at + 1] += starts[at];
        }

        int[] next = starts[..^1];
        for (int index = 0; index < places.Length; index++)
        {
            items[next[bucket[index]]++] = index;
        }
    }

    /// <summary>Appends all features of the buckets that a rectangle touches.</summary>
    public void Collect(double left, double right, double top, double bottom, List<int> found)
    {
        if (right < 0 || bottom < 0 || left > across * edge || top > down * edge)
        {
            return;
        }

        int lastRow = Clamp(bottom, down);
        int firstColumn = Clamp(left, across);
        int lastColumn = Clamp(right, across);
        for (int row = Clamp(top, down); row <= lastRow; row++)
        {
            int from = starts[(row * across) + firstColumn];
            int to = starts[(row * across) + lastColumn + 1];
            for (int at = from; at < to; at++)
            {
                found.Add(items[at]);
            }
        }
    }

    private int Clamp(double place, int count) => (int)Math.Clamp(place / edge, 0, count - 1);
}
