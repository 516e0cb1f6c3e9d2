using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>What the pixels of one frame say about its quality.</summary>
/// <param name="SaturatedShare">Pixels at the largest count.</param>
/// <param name="MeanShare">Mean above black, as a share of the range.</param>
/// <param name="EvenShare">The same of the level that most even patches share, which is the panel's where one is seen.</param>
/// <param name="EvenSaturatedShare">Of those patches.</param>
/// <param name="Sharpness">Fine against coarse contrast, the lesser of across and down; a ratio, whatever the light.</param>
public readonly record struct FrameLook(
    double SaturatedShare,
    double MeanShare,
    double EvenShare,
    double EvenSaturatedShare,
    double Sharpness
)
{
    /// <summary>Edge of a patch: so many fit into the frame each way.</summary>
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

    /// <summary>
    /// Level of the largest even surface. A panel is as even as the noise lets it be; so is a leaf close by or the sky
    /// in a puddle, but those are small: the level that most even patches share is the panel's.
    /// </summary>
    private static (double Mean, double Saturated) Evenest(FrameSums sums, double black)
    {
        int pixels = 4 * sums.TileRows * sums.TileColumns;
        int edge = Math.Max(0, sums.Down - 5);
        int width = Math.Max(0, sums.Across - 5);
        double[] levels = new double[edge * width];
        double[] unevenness = new double[edge * width];
        double least = double.PositiveInfinity;
        // A patch's width off the frame's edges, where vignetting and the holder's hands are.
        for (int patch = 0; patch < levels.Length; patch++)
        {
            int at = PlaceOf(patch);
            double middle = Four(sums.TileSums, at, sums.Across) / pixels;
            double variance = (Four(sums.TileSquares, at, sums.Across) / pixels) - (middle * middle);
            double level = middle - black;
            levels[patch] = level;
            unevenness[patch] = level > 0 ? variance / (level * level) : double.PositiveInfinity;
            least = Math.Min(least, unevenness[patch]);
        }

        int PlaceOf(int patch) => ((2 + (patch / width)) * sums.Across) + 2 + (patch % width);
        double limit = Math.Max(LeastTimes * least, EvenVariance);
        List<(double Level, double Saturated)> even = [];
        for (int patch = 0; patch < levels.Length; patch++)
        {
            if (unevenness[patch] <= limit && levels[patch] > 0)
            {
                even.Add((levels[patch], Four(sums.TileSaturated, PlaceOf(patch), sums.Across) / pixels));
            }
        }

        even.Sort();
        int most = 0;
        int first = 0;
        int last = -1;
        for (int start = 0, end = 0; start < even.Count; start++)
        {
            while (end < even.Count && even[end].Level <= even[start].Level * LevelSpan)
            {
                end++;
            }

            if (end - start > most)
            {
                (most, first, last) = (end - start, start, end - 1);
            }
        }

        if (most == 0)
        {
            return (0, 0);
        }

        double sum = 0;
        double saturated = 0;
        for (int at = first; at <= last; at++)
        {
            sum += even[at].Level;
            saturated += even[at].Saturated;
        }

        return (sum / most, saturated / most);
    }

    /// <summary>Relative variance: 3 % is the noise of a panel in its first third of the range.</summary>
    private const double EvenVariance = 0.03 * 0.03;

    /// <summary>In poor light the noise is larger: patches of up to twice the least scatter are as even.</summary>
    private const double LeastTimes = 4;

    /// <summary>Vignetting and a panel that is not quite level make so much between its patches.</summary>
    private const double LevelSpan = 1.1;

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
