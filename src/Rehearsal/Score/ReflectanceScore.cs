using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Rehearsal;

/// <summary>Judges reflectance, NDVI, and how often the stated 90 % interval holds the truth.</summary>
internal static class ReflectanceScore
{
    /// <summary>Half width of a 90 % interval in standard errors.</summary>
    public const double NinetyPercent = 1.6448536269514722;

    /// <summary>Crowns smaller than this many cells have no mean worth judging.</summary>
    private const int FewestCells = 30;

    public static IEnumerable<string> Names(IReadOnlyList<string> bands) =>
        bands
            .SelectMany(band =>
                new[]
                {
                    $"reflectance.{band}.crownBias",
                    $"reflectance.{band}.pixelRmse",
                    $"coverage.reflectance.{band}",
                }
            )
            .Concat(["ndvi.bias", "ndvi.rmse"]);

    public static void Add(ScoreSheet sheet, SurveyProducts found, SurveyTruth truth)
    {
        IReadOnlyList<string> bands = truth.Flight.Bands;
        if (found.Reflectance is not { } map)
        {
            sheet.MissAll(Names(bands), "there is no reflectance map");
            return;
        }

        for (int band = 0; band < bands.Count; band++)
        {
            int own = map.IndexOf(bands[band]);
            if (own < 0)
            {
                sheet.MissAll(Names([bands[band]]).Take(3), $"the reflectance map has no band {bands[band]}");
                continue;
            }

            Band(sheet, found, truth, map, band, own);
        }

        Ndvi(sheet, truth, map);
    }

    private static void Band(
        ScoreSheet sheet,
        SurveyProducts found,
        SurveyTruth truth,
        ScoredMap map,
        int band,
        int own
    )
    {
        string name = truth.Flight.Bands[band];
        int sigmaBand = found.ReflectanceSigma?.IndexOf(name) ?? -1;
        double squares = 0;
        long count = 0;
        long inside = 0;
        long stated = 0;
        Dictionary<int, (double Found, double True, int Cells)> crowns = [];
        foreach ((double easting, double northing, float value) in Judged(map, own, truth))
        {
            float real = truth.Reflectance.MeanOver(band, easting, northing, map.Grid.CellSizeMetres);
            if (float.IsNaN(real))
            {
                continue;
            }

            double miss = value - real;
            squares += miss * miss;
            count++;
            if (sigmaBand >= 0)
            {
                float sigma = found.ReflectanceSigma!.Nearest(sigmaBand, easting, northing);
                if (sigma > 0)
                {
                    stated++;
                    inside += Math.Abs(miss) <= NinetyPercent * sigma ? 1 : 0;
                }
            }

            float number = truth.PlantNumbers.Nearest(0, easting, northing);
            if (number > 0)
            {
                (double f, double t, int c) = crowns.GetValueOrDefault((int)number);
                crowns[(int)number] = (f + value, t + real, c + 1);
            }
        }

        double[] biases =
        [
            .. crowns
                .Where(crown => crown.Value.Cells >= FewestCells)
                .OrderBy(crown => crown.Key)
                .Select(crown => (crown.Value.Found / crown.Value.True) - 1),
        ];
        sheet.Add($"reflectance.{name}.pixelRmse", count > 0 ? Math.Sqrt(squares / count) : double.NaN);
        sheet.Add($"reflectance.{name}.crownBias", biases.Length > 0 ? Quantiles.Median(biases) : double.NaN);
        sheet.Add(
            $"coverage.reflectance.{name}",
            stated > 0 ? (double)inside / stated : double.NaN,
            "no standard error of the reflectance is stated"
        );
    }

    private static void Ndvi(ScoreSheet sheet, SurveyTruth truth, ScoredMap map)
    {
        int red = map.IndexOf("red");
        int infrared = map.IndexOf("near infrared");
        int trueRed = truth.Reflectance.IndexOf("red");
        int trueInfrared = truth.Reflectance.IndexOf("near infrared");
        if (red < 0 || infrared < 0)
        {
            sheet.MissAll(["ndvi.bias", "ndvi.rmse"], "the reflectance map lacks red or near infrared");
            return;
        }

        RunningMoments misses = new();
        double squares = 0;
        foreach ((double easting, double northing, float value) in Judged(map, red, truth))
        {
            if (!(truth.PlantNumbers.Nearest(0, easting, northing) > 0))
            {
                continue;
            }

            float side = (float)map.Grid.CellSizeMetres;
            double found = Index(map.Nearest(infrared, easting, northing), value);
            double real = Index(
                truth.Reflectance.MeanOver(trueInfrared, easting, northing, side),
                truth.Reflectance.MeanOver(trueRed, easting, northing, side)
            );
            if (double.IsFinite(found - real))
            {
                misses.Add(found - real);
                squares += (found - real) * (found - real);
            }
        }

        sheet.Add("ndvi.bias", misses.Count > 0 ? misses.Mean : double.NaN);
        sheet.Add("ndvi.rmse", misses.Count > 0 ? Math.Sqrt(squares / misses.Count) : double.NaN);
    }

    /// <summary>Cells with a value inside the judged rectangle.</summary>
    internal static IEnumerable<(double Easting, double Northing, float Value)> Judged(
        ScoredMap map,
        int band,
        SurveyTruth truth
    )
    {
        GridGeometry grid = map.Grid;
        for (int row = 0; row < grid.Rows; row++)
        {
            for (int column = 0; column < grid.Columns; column++)
            {
                GridPoint at = grid.CentreOf(row, column);
                if (!truth.IsJudged(at.EastingMetres, at.NorthingMetres))
                {
                    continue;
                }

                float value = map.Band(band)[(row * grid.Columns) + column];
                if (!float.IsNaN(value))
                {
                    yield return (at.EastingMetres, at.NorthingMetres, value);
                }
            }
        }
    }

    private static double Index(float infrared, float red) => (infrared - red) / (infrared + red);
}
