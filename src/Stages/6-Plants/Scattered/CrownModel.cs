using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Plants;

/// <summary>An area in which a person marked every plant.</summary>
/// <param name="Group">Areas of one place carry one word: they are never on both sides when the model is tried.</param>
/// <param name="Map">Bands "red" and "nir", "green" and "blue" when there are.</param>
/// <param name="Window">Of the map, all of it looked at.</param>
/// <param name="Plants">In the map's reference system.</param>
public sealed record MarkedArea(string Group, MapLayer Map, RasterWindow Window, IReadOnlyList<GridPoint> Plants);

/// <summary>How well a model does on places it was not trained on.</summary>
/// <param name="F1">With the model.</param>
/// <param name="PlainF1">Without, on the same areas.</param>
/// <param name="GroupsBetter">Places where the model is better.</param>
/// <param name="GroupsWorse">Places where it is worse.</param>
/// <param name="ChanceOfThis">Chance of such gains or larger ones if it made no difference (signed ranks of the places' gains).</param>
public sealed record ModelTrial(double F1, double PlainF1, int GroupsBetter, int GroupsWorse, double ChanceOfThis)
{
    /// <summary>A gain that is chance once in twenty is none.</summary>
    public bool Kept => F1 > PlainF1 && ChanceOfThis <= 0.05;
}

/// <summary>What middles of crowns look like, learnt from marked areas; trained in seconds, on this machine.</summary>
public sealed class CrownModel
{
    /// <summary>How far from a mark a cell still belongs to it: a person does not click more exactly on trees (our own choice).</summary>
    private const double MarkMetres = 1.5;

    /// <summary>Cells between the two are neither: a crown's flank teaches nothing of its middle.</summary>
    private const double NearMetres = 2.4;

    /// <summary>Of cells farther off one in so many enters: they are much alike.</summary>
    private const int FarStride = 9;

    private readonly BoostedTrees trees;

    private CrownModel(BoostedTrees trees, double threshold, double reachMetres, ModelTrial trial)
    {
        this.trees = trees;
        ThresholdOfTops = threshold;
        ReachMetres = reachMetres;
        Trial = trial;
    }

    /// <summary>A top of the model's answer must reach it; found on places left out.</summary>
    public double ThresholdOfTops { get; }

    /// <summary>No two tops are nearer; found on places left out.</summary>
    public double ReachMetres { get; }

    /// <summary>Gain on places left out. A model that is not kept must not be used.</summary>
    public ModelTrial Trial { get; }

    /// <summary>Trains on all areas, after trying on each place in turn what was learnt from the others.</summary>
    /// <param name="areas">Of at least two places.</param>
    /// <param name="matchMetres">A found plant is right within this distance of a mark.</param>
    /// <param name="settings">How to find plants without a model.</param>
    /// <exception cref="InputProblemException">One place alone, or no mark.</exception>
    public static CrownModel Train(IReadOnlyList<MarkedArea> areas, double matchMetres, ScatteredSettings settings)
    {
        ArgumentNullException.ThrowIfNull(areas);
        string[] groups = [.. areas.Select(area => area.Group).Distinct(StringComparer.Ordinal)];
        if (groups.Length < 2 || areas.Sum(area => area.Plants.Count) < 10)
        {
            throw new InputProblemException(
                "marks",
                $"{areas.Sum(area => area.Plants.Count)} plants at {groups.Length} places are too few to learn from.",
                "Mark every plant in two places or more, ten plants in all."
            );
        }

        Seen[] seen = [.. areas.Select(Seen.Of)];
        float[][] answers = new float[areas.Count][];
        foreach (string group in groups)
        {
            BoostedTrees part = Fit([.. seen.Where(area => area.Area.Group != group)]);
            for (int at = 0; at < seen.Length; at++)
            {
                if (seen[at].Area.Group == group)
                {
                    answers[at] = part.Predict(seen[at].Features);
                }
            }
        }

        double best = -1;
        double threshold = 0.3;
        double reach = 2;
        foreach (double metres in (double[])[1.8, 2.4, 3.0, 3.6])
        {
            foreach (double least in (double[])[0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.55, 0.6])
            {
                TopScore score = Sum(seen.Select((area, at) => ScoreOf(area, answers[at], least, metres, matchMetres)));
                if (score.F1 > best)
                {
                    (best, threshold, reach) = (score.F1, least, metres);
                }
            }
        }

        TopScore[] with = [.. seen.Select((area, at) => ScoreOf(area, answers[at], threshold, reach, matchMetres))];
        TopScore[] without =
        [
            .. areas.Select(area =>
                TopScore.Of(
                    [.. ScatteredTops.Find(area.Map, area.Window, settings).Select(top => top.Place)],
                    area.Plants,
                    matchMetres
                )
            ),
        ];
        List<double> gains = [];
        foreach (string group in groups)
        {
            double gain =
                Sum(with.Where((_, at) => areas[at].Group == group)).F1
                - Sum(without.Where((_, at) => areas[at].Group == group)).F1;
            gains.Add(gain);
        }

        return new CrownModel(
            Fit(seen),
            threshold,
            reach,
            new ModelTrial(
                Sum(with).F1,
                Sum(without).F1,
                gains.Count(gain => gain > 0),
                gains.Count(gain => gain < 0),
                SignedRankTest.ChanceOfGain(gains)
            )
        );
    }

    /// <summary>Middles of crowns in a window of a map.</summary>
    public IReadOnlyList<ScatteredTop> Find(MapLayer map, RasterWindow window)
    {
        Seen seen = Seen.Of(new MarkedArea("", map, window, []));
        return seen.Tops(trees.Predict(seen.Features), ThresholdOfTops, ReachMetres);
    }

    private static BoostedTrees Fit(IReadOnlyList<Seen> areas)
    {
        List<float[]> chosen = [];
        List<float> targets = [];
        int features = areas[0].Features.Length;
        List<float>[] columns = [.. Enumerable.Range(0, features).Select(_ => new List<float>())];
        foreach (Seen area in areas)
        {
            float[] distance = area.DistanceToMarks();
            for (int at = 0; at < distance.Length; at++)
            {
                // A stride that shares no factor with a row's length would do as well; this one is no grid either.
                bool far = distance[at] > NearMetres;
                if (far ? ((at * 7919L) % FarStride) != 0 : distance[at] > MarkMetres)
                {
                    continue;
                }

                targets.Add(far ? 0 : 1);
                for (int feature = 0; feature < features; feature++)
                {
                    columns[feature].Add(area.Features[feature][at]);
                }
            }
        }

        return BoostedTrees.Train([.. columns.Select(column => column.ToArray())], [.. targets], new BoostSettings());
    }

    private static TopScore ScoreOf(Seen area, float[] answer, double threshold, double reach, double matchMetres) =>
        TopScore.Of([.. area.Tops(answer, threshold, reach).Select(top => top.Place)], area.Area.Plants, matchMetres);

    private static TopScore Sum(IEnumerable<TopScore> scores) =>
        scores.Aggregate(
            new TopScore(0, 0, 0),
            (sum, score) => new TopScore(sum.Pairs + score.Pairs, sum.Found + score.Found, sum.True + score.True)
        );

    /// <summary>An area with its features.</summary>
    private sealed record Seen(MarkedArea Area, float[][] Features, GridGeometry Grid)
    {
        /// <summary>A cell's own flicker is no top.</summary>
        private const double SmoothMetres = 1;

        public static Seen Of(MarkedArea area)
        {
            Dictionary<string, float[]> bands = [];
            foreach (string word in (string[])["red", "nir", "green", "blue"])
            {
                if (area.Map.IndexOf(word) is { } band)
                {
                    float[] values = area.Map.Read(band, area.Window);
                    foreach (ref float value in values.AsSpan())
                    {
                        value = float.IsFinite(value) ? value : 0;
                    }

                    bands[word] = values;
                }
            }

            GridGeometry map = area.Map.Grid;
            GridGeometry grid = new(
                map.ReferenceSystem,
                new GridPoint(
                    map.WestMetres + (area.Window.Column * map.CellSizeMetres),
                    map.NorthMetres - (area.Window.Row * map.CellSizeMetres)
                ),
                map.CellSizeMetres,
                area.Window.Rows,
                area.Window.Columns
            );
            return new Seen(
                area,
                CrownFeatures.Of(bands, area.Window.Rows, area.Window.Columns, map.CellSizeMetres),
                grid
            );
        }

        public float[] DistanceToMarks()
        {
            float[] distance = new float[Grid.CellCount];
            Array.Fill(distance, float.MaxValue);
            int reach = (int)Math.Ceiling(2 * NearMetres / Grid.CellSizeMetres);
            foreach (GridPoint plant in Area.Plants)
            {
                int row = (int)Math.Floor(Grid.RowOf(plant.NorthingMetres));
                int column = (int)Math.Floor(Grid.ColumnOf(plant.EastingMetres));
                for (int r = Math.Max(0, row - reach); r <= Math.Min(Grid.Rows - 1, row + reach); r++)
                {
                    for (int c = Math.Max(0, column - reach); c <= Math.Min(Grid.Columns - 1, column + reach); c++)
                    {
                        GridPoint centre = Grid.CentreOf(r, c);
                        double x = centre.EastingMetres - plant.EastingMetres;
                        double y = centre.NorthingMetres - plant.NorthingMetres;
                        int at = (r * Grid.Columns) + c;
                        distance[at] = Math.Min(distance[at], (float)Math.Sqrt((x * x) + (y * y)));
                    }
                }
            }

            return distance;
        }

        public IReadOnlyList<ScatteredTop> Tops(float[] answer, double threshold, double reachMetres)
        {
            float[] smooth = new float[answer.Length];
            GaussianFilter.Smooth<float>(
                answer,
                Grid.Rows,
                Grid.Columns,
                Math.Max(0.4, SmoothMetres / Grid.CellSizeMetres),
                Border.Nearest,
                smooth
            );
            List<ScatteredTop> tops = [];
            foreach (PeakPixel peak in LocalPeaks.Find<float>(smooth, Grid.Rows, Grid.Columns, 1, threshold))
            {
                tops.Add(
                    new ScatteredTop(
                        Grid.CentreOf(peak.Row, peak.Column),
                        reachMetres,
                        smooth[(peak.Row * Grid.Columns) + peak.Column]
                    )
                );
            }

            List<ScatteredTop> kept = [];
            foreach (ScatteredTop top in tops.OrderByDescending(top => top.Strength))
            {
                if (!kept.Exists(other => ScatteredTops.Distance(other.Place, top.Place) < reachMetres))
                {
                    kept.Add(top);
                }
            }

            return kept;
        }
    }
}
