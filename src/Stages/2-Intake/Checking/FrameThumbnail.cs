using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>A frame made small: means of square boxes of pixels, stretched over 8 bits.</summary>
/// <param name="Rows">Rows of boxes.</param>
/// <param name="Columns">Columns of boxes.</param>
/// <param name="Box">Pixels of the frame along a box's edge; what is left over at the right and below is dropped.</param>
/// <param name="Values">Rows × columns, row-major; 0 is the darkest box, 255 the brightest.</param>
/// <remarks>
/// What neighbouring captures are matched by in the field check; made while the pixels are in hand. The stretch differs
/// from frame to frame, so only comparisons that ignore level and contrast may use it.
/// </remarks>
public sealed record FrameThumbnail(int Rows, int Columns, int Box, byte[] Values)
{
    /// <summary>A box sees about 0.35 m from 65 m: a fifth of it tells a shift within a decimetre, and 1,000 fit 20 MB.</summary>
    private const int LeastColumns = 160;

    private const int Largest = 255;

    /// <summary>Makes a frame small; null when it is smaller than a thumbnail.</summary>
    /// <param name="samples">Rows × columns as stored; any bit placement.</param>
    /// <param name="rows">Rows.</param>
    /// <param name="columns">Columns.</param>
    public static FrameThumbnail? Of(ReadOnlySpan<ushort> samples, int rows, int columns)
    {
        int box = columns / LeastColumns;
        if (box < 1 || rows < box)
        {
            return null;
        }

        int down = rows / box;
        int across = columns / box;
        uint[] sums = new uint[down * across];
        for (int row = 0; row < down * box; row++)
        {
            Span<uint> into = sums.AsSpan(row / box * across, across);
            ReadOnlySpan<ushort> line = samples.Slice(row * columns, across * box);
            for (int at = 0; at < into.Length; at++)
            {
                uint sum = 0;
                foreach (ushort sample in line.Slice(at * box, box))
                {
                    sum += sample;
                }

                into[at] += sum;
            }
        }

        uint least = sums.Min();
        uint span = Math.Max(1, sums.Max() - least);
        return new FrameThumbnail(
            down,
            across,
            box,
            Array.ConvertAll(sums, sum => (byte)((((ulong)(sum - least) * Largest) + (span / 2)) / span))
        );
    }

    /// <summary>Bilinear value at a place of the frame; 0 outside the boxes' centres, 1 … 255 inside.</summary>
    internal byte At(PixelPoint pixel)
    {
        double column = (pixel.Column / Box) - 0.5;
        double row = (pixel.Row / Box) - 0.5;
        if (!(column >= 0 && row >= 0 && column <= Columns - 1 && row <= Rows - 1))
        {
            return 0;
        }

        int left = Math.Min((int)column, Columns - 2);
        int above = Math.Min((int)row, Rows - 2);
        double u = column - left;
        double v = row - above;
        int at = (above * Columns) + left;
        double top = Values[at] + ((Values[at + 1] - Values[at]) * u);
        double bottom = Values[at + Columns] + ((Values[at + Columns + 1] - Values[at + Columns]) * u);
        return (byte)Math.Clamp(top + ((bottom - top) * v) + 0.5, 1, Largest);
    }
}
