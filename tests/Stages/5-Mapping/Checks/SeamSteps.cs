using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Sight;

namespace Hillrow.Mapping.Checks;

/// <summary>
/// How far two captures differ where the map passes from one to the other: in strips of 0.5 m on each side of a seam, cut
/// into lengths of 2 m, the map's own cells against what the other capture says of the same ground (docs/decisions/0032).
/// </summary>
public sealed class SeamSteps
{
    private const double StripMetres = 0.5;
    private const double LengthMetres = 2;
    private const int LeastCells = 200;

    private readonly double[] steps;
    private readonly double[] pairSteps;

    /// <param name="map">The written layers.</param>
    /// <param name="reflectance">Per band, the map's cells in the product that is judged.</param>
    /// <param name="grid">The map's cells.</param>
    /// <param name="geometry">By which it was laid.</param>
    /// <param name="frames">The same product, from which the other capture is asked.</param>
    /// <param name="sights">On the surface it was laid on.</param>
    public SeamSteps(
        MapReading map,
        IReadOnlyList<float[]> reflectance,
        GridGeometry grid,
        SurveyGeometry geometry,
        IReflectanceFrames frames,
        CellSights sights
    )
    {
        Strip[] strips = [.. StripsOf(map, grid)];
        bool[][] seen =
        [
            .. strips
                .AsParallel()
                .AsOrdered()
                .Select(strip =>
                    strip
                        .Cells.Select(cell =>
                            sights.Sees(geometry.Captures[strip.Other].Pose, cell / grid.Columns, cell % grid.Columns)
                        )
                        .ToArray()
                ),
        ];
        steps = new double[frames.Bands.Count];
        pairSteps = new double[frames.Bands.Count];
        Lengths = int.MaxValue;
        for (int band = 0; band < frames.Bands.Count; band++)
        {
            double[] found = new double[strips.Length];
            foreach (var asked in strips.Select((strip, at) => (strip, at)).GroupBy(entry => entry.strip.Other))
            {
                BandGeometry of = geometry.BandOf(frames.Bands[band]);
                float[] frame = new float[of.Lens.Rows * of.Lens.Columns];
                PlacedCapture capture = geometry.Captures[asked.Key];
                frames.Load(capture.CaptureId, of.Band, frame, []);
                SightedFrame sighted = geometry.FrameOf(capture, of);
                float[] values = reflectance[band];
                Parallel.ForEach(
                    asked,
                    entry => found[entry.at] = StepOf(entry.strip, seen[entry.at], values, sighted, frame)
                );
            }

            int[] known = [.. Enumerable.Range(0, strips.Length).Where(at => double.IsFinite(found[at]))];
            Lengths = Math.Min(Lengths, known.Length);
            steps[band] = Rms(known.Select(at => found[at]));
            pairSteps[band] = Rms(
                known
                    .GroupBy(at => strips[at].Pair)
                    .SelectMany(pair =>
                        Enumerable.Repeat(pair.Average(at => strips[at].Sign * found[at]), pair.Count())
                    )
            );
        }

        double StepOf(Strip strip, bool[] visible, float[] values, SightedFrame sighted, float[] frame)
        {
            double difference = 0;
            double level = 0;
            int count = 0;
            for (int at = 0; at < strip.Cells.Count; at++)
            {
                int cell = strip.Cells[at];
                if (!visible[at])
                {
                    continue;
                }

                double other = sights.MeanOf(sighted, frame, cell / grid.Columns, cell % grid.Columns);
                if (double.IsFinite(other) && float.IsFinite(values[cell]))
                {
                    difference += values[cell] - other;
                    level += (values[cell] + other) / 2;
                    count++;
                }
            }

            return count < LeastCells ? double.NaN : difference / level;
        }
    }

    /// <summary>Lengths that were judged, the band with the fewest.</summary>
    public int Lengths { get; }

    /// <summary>Root mean square over lengths of the step, as a share of the level; per band.</summary>
    public IReadOnlyList<double> Shares => steps;

    /// <summary>
    /// As <see cref="Shares"/>, each length replaced by the mean of its pair of captures: chance and parallax of plants
    /// average out, what is left is how far the captures' levels are apart.
    /// </summary>
    public IReadOnlyList<double> PairShares => pairSteps;

    private static double Rms(IEnumerable<double> values)
    {
        double[] all = [.. values];
        return all.Length == 0 ? double.NaN : Math.Sqrt(all.Average(value => value * value));
    }

    /// <summary>Cells of one capture within reach of another's, by pair and by squares of 2 m that cut seams to lengths.</summary>
    private static IEnumerable<Strip> StripsOf(MapReading map, GridGeometry grid)
    {
        int reach = (int)Math.Round(StripMetres / grid.CellSizeMetres);
        int length = Math.Max(1, (int)Math.Round(LengthMetres / grid.CellSizeMetres));
        Dictionary<(ushort Own, ushort Other, int Square), Strip> strips = [];
        int squares = (grid.Columns / length) + 1;
        for (int row = 0; row < grid.Rows; row++)
        {
            for (int column = 0; column < grid.Columns; column++)
            {
                ushort own = map.Capture[0, row, column];
                if (own == MapReading.NoCapture || Neighbour(map, grid, row, column, reach, own) is not { } other)
                {
                    continue;
                }

                (ushort, ushort, int) key = (own, other, (row / length * squares) + (column / length));
                if (!strips.TryGetValue(key, out Strip? strip))
                {
                    strips[key] = strip = new Strip(own, other, []);
                }

                strip.Cells.Add((row * grid.Columns) + column);
            }
        }

        return strips.OrderBy(entry => entry.Key).Select(entry => entry.Value).Where(s => s.Cells.Count >= LeastCells);
    }

    /// <summary>The nearest other capture along the four directions; null where none is within reach.</summary>
    private static ushort? Neighbour(MapReading map, GridGeometry grid, int row, int column, int reach, ushort own)
    {
        for (int away = 1; away <= reach; away++)
        {
            foreach (
                (int r, int c) in ((int, int)[])
                    [(row, column - away), (row, column + away), (row - away, column), (row + away, column)]
            )
            {
                if (r < 0 || c < 0 || r >= grid.Rows || c >= grid.Columns)
                {
                    continue;
                }

                ushort here = map.Capture[0, r, c];
                if (here != own && here != MapReading.NoCapture)
                {
                    return here;
                }
            }
        }

        return null;
    }

    private sealed record Strip(ushort Own, ushort Other, List<int> Cells)
    {
        public (ushort, ushort) Pair => Own < Other ? (Own, Other) : (Other, Own);

        /// <summary>Steps of both sides of a pair count the same way round.</summary>
        public int Sign => Own < Other ? 1 : -1;
    }
}
