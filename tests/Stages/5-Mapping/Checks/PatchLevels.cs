using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Mapping.Checks;

/// <summary>
/// Whether a map's level is that of the frames it was laid from: means over patches of 6 × 6 cells, away from seams,
/// against the means of the frame's own pixels that fall on them (docs/decisions/0032).
/// </summary>
public sealed class PatchLevels
{
    private const int Side = 6;
    private const double FromSeamsMetres = 0.5;

    /// <summary>Draws for one patch before the map counts as too small for more.</summary>
    private const int DrawsAPatch = 50;

    private readonly double[] errors;
    private readonly double[] kept;

    /// <param name="map">The written layers.</param>
    /// <param name="grid">Its cells.</param>
    /// <param name="geometry">By which it was laid.</param>
    /// <param name="frames">From which it was laid, the same product.</param>
    /// <param name="sights">On the surface it was laid on.</param>
    /// <param name="patches">How many are drawn.</param>
    /// <param name="seed">Of the draw.</param>
    public PatchLevels(
        MapReading map,
        GridGeometry grid,
        SurveyGeometry geometry,
        IReflectanceFrames frames,
        CellSights sights,
        int patches,
        ulong seed
    )
    {
        (int Row, int Column, ushort Capture)[] drawn = [.. Draw(map, grid, patches, new SplittableRandom(seed))];
        Patches = drawn.Length;
        errors = new double[frames.Bands.Count];
        kept = new double[frames.Bands.Count];
        for (int band = 0; band < frames.Bands.Count; band++)
        {
            BandGeometry of = geometry.BandOf(frames.Bands[band]);
            float[] frame = new float[of.Lens.Rows * of.Lens.Columns];
            List<double> errorsOf = [];
            List<double> keptOf = [];
            foreach (IGrouping<ushort, (int Row, int Column, ushort)> own in drawn.GroupBy(patch => patch.Capture))
            {
                PlacedCapture capture = geometry.Captures[own.Key];
                frames.Load(capture.CaptureId, of.Band, frame, []);
                SightedFrame seen = geometry.FrameOf(capture, of);
                foreach ((int row, int column, _) in own)
                {
                    double[] found = new double[Side * Side];
                    double[] asked = new double[Side * Side];
                    for (int at = 0; at < found.Length; at++)
                    {
                        (int r, int c) = (row + (at / Side), column + (at % Side));
                        found[at] = map.Reflectance[band][(r * grid.Columns) + c];
                        asked[at] = sights.MeanOf(seen, frame, r, c);
                    }

                    double error = Math.Abs(found.Average() - asked.Average()) / asked.Average();
                    if (double.IsFinite(error))
                    {
                        errorsOf.Add(error);
                        keptOf.Add(Scatter(found) / Scatter(asked));
                    }
                }
            }

            errors[band] = Median(errorsOf);
            kept[band] = Median(keptOf);
        }
    }

    /// <summary>Patches that were found.</summary>
    public int Patches { get; }

    /// <summary>Median over patches of |map − frame| ÷ frame, the worst band.</summary>
    public double MedianErrorShare => errors.Max();

    /// <summary>Median over patches of the scatter within them, map over frame; the band that loses most.</summary>
    public double DetailKept => kept.Min();

    private static IEnumerable<(int, int, ushort)> Draw(
        MapReading map,
        GridGeometry grid,
        int patches,
        SplittableRandom random
    )
    {
        int apart = (int)Math.Ceiling(FromSeamsMetres / grid.CellSizeMetres);
        int room = Side + (2 * apart);
        if (grid.Rows <= room || grid.Columns <= room)
        {
            yield break;
        }

        for (int draw = 0, found = 0; draw < patches * DrawsAPatch && found < patches; draw++)
        {
            int row = apart + (int)(random.NextDouble() * (grid.Rows - room));
            int column = apart + (int)(random.NextDouble() * (grid.Columns - room));
            ushort capture = map.Capture[0, row, column];
            if (capture != MapReading.NoCapture && IsAlone(map, row, column, apart, capture))
            {
                found++;
                yield return (row, column, capture);
            }
        }
    }

    /// <summary>The patch is whole, and no cell within reach is another's.</summary>
    private static bool IsAlone(MapReading map, int row, int column, int apart, ushort capture)
    {
        for (int r = row - apart; r < row + Side + apart; r++)
        {
            for (int c = column - apart; c < column + Side + apart; c++)
            {
                ushort here = map.Capture[0, r, c];
                bool inside = r >= row && c >= column && r < row + Side && c < column + Side;
                if (here != capture && (inside || here != MapReading.NoCapture))
                {
                    return false;
                }
            }
        }

        return true;
    }

    private static double Scatter(double[] values)
    {
        double mean = values.Average();
        return Math.Sqrt(values.Average(value => (value - mean) * (value - mean)));
    }

    private static double Median(List<double> values)
    {
        double[] sorted = [.. values.Order()];
        return sorted.Length == 0 ? double.NaN : sorted[sorted.Length / 2];
    }
}
