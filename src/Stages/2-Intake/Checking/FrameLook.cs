using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>What the pixels of one frame say about its quality.</summary>
/// <param name="SaturatedShare">Pixels at the largest count.</param>
/// <param name="MeanShare">Mean above black, as a share of the range.</param>
/// <param name="EvenShare">The same of the evenest patch (a 24th of the frame each way), which is the panel where one is seen.</param>
/// <param name="EvenSaturatedShare">Of that patch.</param>
/// <param name="Sharpness">Fine against coarse contrast, the lesser of across and down; a ratio, whatever the light.</param>
internal readonly record struct FrameLook(
    double SaturatedShare,
    double MeanShare,
    double EvenShare,
    double EvenSaturatedShare,
    double Sharpness
)
{
    private const int Coarse = 6;

    /// <param name="samples">Rows × columns as stored.</param>
    /// <param name="sensor">Bit depth and placement.</param>
    /// <param name="blackCounts">Counts of a dark frame.</param>
    /// <param name="seekPanel">Whether to look for the evenest patch.</param>
    public static FrameLook Of(ReadOnlySpan<ushort> samples, BandSensor sensor, double blackCounts, bool seekPanel)
    {
        int rows = sensor.Rows;
        int columns = sensor.Columns;
        int shift = sensor.Placement == BitPlacement.High ? 16 - sensor.BitDepth : 0;
        int largest = sensor.LargestCount;
        long sum = 0;
        long saturated = 0;
        double fineAcross = 0;
        double fineDown = 0;
        double coarseAcross = 0;
        double coarseDown = 0;
        // Sums of counts below 2^16 over less than 2^31 pixels fit 64 bits.
        unchecked
        {
            for (int row = 0; row < rows; row++)
            {
                ReadOnlySpan<ushort> line = samples.Slice(row * columns, columns);
                for (int column = 0; column < columns; column++)
                {
                    int count = line[column] >> shift;
                    sum += count;
                    saturated += count >= largest ? 1 : 0;
                }

                // Every second row tells sharpness as well as all.
                if ((row & 1) != 0 || row + Coarse >= rows)
                {
                    continue;
                }

                ReadOnlySpan<ushort> next = samples.Slice((row + 1) * columns, columns);
                ReadOnlySpan<ushort> far = samples.Slice((row + Coarse) * columns, columns);
                long across = 0;
                long acrossFar = 0;
                long down = 0;
                long downFar = 0;
                for (int column = 0; column < columns - Coarse; column++)
                {
                    int here = line[column] >> shift;
                    long a = (line[column + 1] >> shift) - here;
                    long b = (line[column + Coarse] >> shift) - here;
                    long c = (next[column] >> shift) - here;
                    long d = (far[column] >> shift) - here;
                    across += a * a;
                    acrossFar += b * b;
                    down += c * c;
                    downFar += d * d;
                }

                fineAcross += across;
                coarseAcross += acrossFar;
                fineDown += down;
                coarseDown += downFar;
            }
        }

        double range = Math.Max(1, largest - blackCounts);
        double Share(long total, long count) => count == 0 ? 0 : ((total / (double)count) - blackCounts) / range;
        long pixels = (long)rows * columns;
        (double evenMean, double evenSaturated) = seekPanel
            ? Evenest(samples, sensor, shift, blackCounts, range)
            : (double.NaN, 0);
        return new FrameLook(
            saturated / (double)pixels,
            Share(sum, pixels),
            evenMean,
            evenSaturated,
            Math.Min(fineAcross / Math.Max(1, coarseAcross), fineDown / Math.Max(1, coarseDown))
        );
    }

    private const int Patches = 24;

    /// <summary>A panel is evener, against its own level, than anything that grows or lies around it.</summary>
    private static (double Mean, double Saturated) Evenest(
        ReadOnlySpan<ushort> samples,
        BandSensor sensor,
        int shift,
        double blackCounts,
        double range
    )
    {
        int high = Math.Max(2, sensor.Rows / Patches);
        int wide = Math.Max(2, sensor.Columns / Patches);
        double least = double.PositiveInfinity;
        (double, double) best = (0, 0);
        for (int top = high; top + (2 * high) <= sensor.Rows; top += Math.Max(1, high / 2))
        {
            for (int left = wide; left + (2 * wide) <= sensor.Columns; left += Math.Max(1, wide / 2))
            {
                double sum = 0;
                double squares = 0;
                int clipped = 0;
                for (int row = top; row < top + high; row++)
                {
                    foreach (ushort sample in samples.Slice((row * sensor.Columns) + left, wide))
                    {
                        int count = sample >> shift;
                        sum += count - blackCounts;
                        squares += (count - blackCounts) * (count - blackCounts);
                        clipped += count >= sensor.LargestCount ? 1 : 0;
                    }
                }

                int pixels = high * wide;
                double mean = sum / pixels;
                double unevenness =
                    mean <= 0 ? double.PositiveInfinity : ((squares / pixels) - (mean * mean)) / (mean * mean);
                if (unevenness < least)
                {
                    least = unevenness;
                    best = (mean / range, clipped / (double)pixels);
                }
            }
        }

        return best;
    }
}
