using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>What the pixels of one frame say about its quality.</summary>
/// <param name="SaturatedShare">Pixels at the largest count.</param>
/// <param name="MeanShare">Mean above black, as a share of the range.</param>
/// <param name="EvenShare">The same of the evenest patch (a 24th of the frame each way), which is the panel where one is seen.</param>
/// <param name="EvenSaturatedShare">Of that patch.</param>
/// <param name="Sharpness">Fine against coarse contrast, the lesser of across and down; a ratio, whatever the light.</param>
public readonly record struct FrameLook(
    double SaturatedShare,
    double MeanShare,
    double EvenShare,
    double EvenSaturatedShare,
    double Sharpness
)
{
    /// <summary>Edge of the evenest patch: so many fit into the frame each way.</summary>
    public const int Patches = 24;

    /// <summary>Tiles each way whose sums are taken: a patch is two by two of them.</summary>
    private const int Tiles = 2 * Patches;

    /// <summary>Coarse tiles each way of <see cref="TileShares"/>.</summary>
    public const int TileShareEdge = 12;

    /// <summary>
    /// Means above black of 12 × 12 coarse tiles as shares of the range, row-major: what bands are compared by. Empty
    /// when the frame is smaller than its tiles.
    /// </summary>
    public IReadOnlyList<float> TileShares { get; init; } = [];

    /// <summary>Looks at every pixel once.</summary>
    /// <param name="samples">Rows × columns as stored.</param>
    /// <param name="sensor">Bit depth and placement.</param>
    /// <param name="blackCounts">Counts of a dark frame.</param>
    public static FrameLook Of(ReadOnlySpan<ushort> samples, BandSensor sensor, double blackCounts)
    {
        int rows = sensor.Rows;
        int columns = sensor.Columns;
        int shift = sensor.Placement == BitPlacement.High ? 16 - sensor.BitDepth : 0;
        int tileRows = Math.Max(1, rows / Tiles);
        int tileColumns = Math.Max(1, columns / Tiles);
        int down = Math.Min(Tiles, rows / tileRows);
        int across = Math.Min(Tiles, columns / tileColumns);
        FrameSums sums = new(down, across, tileRows, tileColumns);
        FrameSumming.Add(samples, rows, columns, shift, sensor, sums);
        double unit = 1 << FrameSumming.DroppedBits(sensor);
        // What was dropped lies half a unit higher on average.
        double lift = (unit - 1) / 2;
        double range = Math.Max(1, sensor.LargestCount - blackCounts);
        long pixels = (long)rows * columns;
        double mean = ((sums.Sum * unit) / pixels) + lift - blackCounts;
        (double evenMean, double evenSaturated) = Evenest(sums, (blackCounts - lift) / unit);
        return new FrameLook(
            sums.Saturated / (double)pixels,
            mean / range,
            evenMean * unit / range,
            evenSaturated,
            Math.Min(
                sums.FineAcross / (double)Math.Max(1, sums.CoarseAcross),
                sums.FineDown / (double)Math.Max(1, sums.CoarseDown)
            )
        )
        {
            TileShares = Shares(sums, unit, lift - blackCounts, range),
        };
    }

    /// <summary>A panel is evener, against its own level, than anything that grows or lies around it.</summary>
    private static (double Mean, double Saturated) Evenest(FrameSums sums, double black)
    {
        double least = double.PositiveInfinity;
        (double, double) best = (0, 0);
        int pixels = 4 * sums.TileRows * sums.TileColumns;
        // A patch's width off the frame's edges, where vignetting and the holder's hands are.
        for (int top = 2; top + 4 <= sums.Down; top++)
        {
            for (int left = 2; left + 4 <= sums.Across; left++)
            {
                int at = (top * sums.Across) + left;
                double sum = Four(sums.TileSums, at, sums.Across);
                double mean = (sum / pixels) - black;
                if (mean <= 0)
                {
                    continue;
                }

                double middle = sum / pixels;
                double variance = (Four(sums.TileSquares, at, sums.Across) / pixels) - (middle * middle);
                double unevenness = variance / (mean * mean);
                if (unevenness < least)
                {
                    least = unevenness;
                    best = (mean, Four(sums.TileSaturated, at, sums.Across) / pixels);
                }
            }
        }

        return best;
    }

    private static double Four(long[] of, int at, int across) =>
        (double)of[at] + of[at + 1] + of[at + across] + of[at + across + 1];

    private static float[] Shares(FrameSums sums, double unit, double offset, double range)
    {
        const int Joined = Tiles / TileShareEdge;
        if (sums.Down < Tiles || sums.Across < Tiles)
        {
            return [];
        }

        float[] shares = new float[TileShareEdge * TileShareEdge];
        double pixels = Joined * Joined * (double)sums.TileRows * sums.TileColumns;
        for (int row = 0; row < TileShareEdge; row++)
        {
            for (int column = 0; column < TileShareEdge; column++)
            {
                double sum = 0;
                for (int tile = 0; tile < Joined * Joined; tile++)
                {
                    sum += sums.TileSums[
                        (((row * Joined) + (tile / Joined)) * sums.Across) + (column * Joined) + (tile % Joined)
                    ];
                }

                shares[(row * TileShareEdge) + column] = (float)((((sum / pixels) * unit) + offset) / range);
            }
        }

        return shares;
    }
}
