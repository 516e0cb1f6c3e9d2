using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Plants;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Plants;

/// <summary>
/// Trees of two towns on pictures that no one here made, through the door for maps made elsewhere: docs/decisions/0040
/// says which places tune and which judge.
/// </summary>
public sealed class UrbanTreeFigures : FigureSource
{
    private const double MatchMetres = 3;
    private const string Python = "/usr/bin/python3";

    public override string Area => "plants";

    public override int Order => 5;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        if (RepositoryFiles.OpenData("urban-trees-rgbnir") is not { } data)
        {
            run.Say("skipped: ../shared/opendata/urban-trees-rgbnir is not here");
            yield break;
        }

        ScatteredSettings settings = new();
        Crop[] crops = [.. Crop.All(data, run.ScratchFolder)];
        try
        {
            Crop[] tuning = [.. crops.Where(crop => crop.Tunes)];
            Crop[] judging = [.. crops.Where(crop => !crop.Tunes)];
            double Plain(Crop[] chosen) => F1(chosen, crop => ScatteredTops.Find(crop.Map, crop.Whole, settings));
            run.Say($"by greenness alone, tuning places: {Plain(tuning):F4}");
            CrownModel model = CrownModel.Train(
                [.. tuning.Select(crop => new MarkedArea(crop.Place, crop.Map, crop.Whole, crop.Trees))],
                MatchMetres,
                settings
            );
            ModelTrial trial = model.Trial;
            run.Say(
                $"learnt: left out {trial.F1:F4} against {trial.PlainF1:F4}, {trial.GroupsBetter} places better, {trial.GroupsWorse} worse, chance {trial.ChanceOfThis:F3}; threshold {model.ThresholdOfTops}, reach {model.ReachMetres} m"
            );
            if (run.Quick)
            {
                // Judging places are looked at by whole runs alone: who tunes does not see them.
                yield break;
            }

            double plain = Plain(judging);
            double learnt = F1(judging, crop => model.Find(crop.Map, crop.Whole));
            double found = trial.Kept ? learnt : plain;
            string how = FormattableString.Invariant(
                $"{judging.Length} crops of places with odd numbers, {judging.Sum(crop => crop.Trees.Count)} marked trees, match within {MatchMetres} m; crowns learnt from the marks of {tuning.Length} crops of other places (left out in turn: {trial.F1:F3} against {trial.PlainF1:F3} without); without any marks {plain:F3}"
            );
            yield return new Figure("real.urbanTrees.f1", found, how);
            if (Baseline(data, run) is { } baseline)
            {
                yield return new Figure(
                    "real.urbanTrees.overBaseline",
                    found - baseline,
                    FormattableString.Invariant(
                        $"scikit-image local maxima and watershed on the same crops: {baseline:F3}; without any marks we have {plain - baseline:+0.000;-0.000}"
                    )
                );
            }
        }
        finally
        {
            foreach (Crop crop in crops)
            {
                crop.Dispose();
            }
        }
    }

    private static double F1(IEnumerable<Crop> crops, Func<Crop, IReadOnlyList<ScatteredTop>> find)
    {
        TopScore sum = new(0, 0, 0);
        foreach (Crop crop in crops)
        {
            TopScore score = TopScore.Of([.. find(crop).Select(top => top.Place)], crop.Trees, MatchMetres);
            sum = new TopScore(sum.Pairs + score.Pairs, sum.Found + score.Found, sum.True + score.True);
        }

        return sum.F1;
    }

    private static double? Baseline(string data, ValidationRun run)
    {
        string script = Path.Combine(RepositoryFiles.Root, "validation", "Plants", "urban_tree_baseline.py");
        ProcessStartInfo start = new(Python, [script, data])
        {
            UseShellExecute = false,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        if (!File.Exists(Python))
        {
            run.Say($"skipped: {Python} is not here");
            return null;
        }

        using Process process = Process.Start(start)!;
        Task<string> faults = process.StandardError.ReadToEndAsync();
        string answer = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        if (process.ExitCode != 0)
        {
            run.Say(
                $"skipped: the yardstick needs python3-skimage, python3-scipy and python3-gdal ({faults.Result.Trim().Split('\n')[^1]})"
            );
            return null;
        }

        using JsonDocument json = JsonDocument.Parse(answer);
        run.Say($"yardstick: {answer.Trim()}");
        return json.RootElement.GetProperty("judging").GetDouble();
    }

    private sealed record Crop(string Place, bool Tunes, RasterFile File, MapLayer Map, IReadOnlyList<GridPoint> Trees)
        : IDisposable
    {
        public RasterWindow Whole => new(0, 0, Map.Grid.Rows, Map.Grid.Columns);

        public static IEnumerable<Crop> All(string data, string scratch)
        {
            foreach (
                string path in Directory
                    .GetFiles(System.IO.Path.Combine(data, "images"), "*.tif")
                    .Order(StringComparer.Ordinal)
            )
            {
                // TOWN_YEAR_NUMBER
                string name = System.IO.Path.GetFileNameWithoutExtension(path);
                string[] parts = name.Split('_');
                int number = int.Parse(parts[2], CultureInfo.InvariantCulture);
                string map = System.IO.Path.Combine(scratch, name + "-map.tif");
                using (RasterFile source = RasterFile.Open(path))
                {
                    ReferenceSystem own = RasterReferenceSystem.Of(source);
                    ReferenceSystem zone = ReferenceSystem.UtmAt(
                        own.ToWgs84(source.Placement!.OriginX, source.Placement.OriginY)
                    );
                    BroughtMap.Write(source, new BroughtBands(["red", "green", "blue", "nir"], null), zone, map, 1);
                }

                RasterFile file = RasterFile.Open(map);
                MapLayer layer = MapLayer.Of(file);
                yield return new Crop(
                    $"{parts[0]} {number}",
                    number % 2 == 0,
                    file,
                    layer,
                    [
                        .. System
                            .IO.File.ReadLines(System.IO.Path.Combine(data, "csv", name + ".csv"))
                            .Skip(1)
                            .Where(line => line.Length > 0)
                            .Select(line => line.Split(','))
                            .Select(mark =>
                                layer.Grid.CentreOf(
                                    int.Parse(mark[1], CultureInfo.InvariantCulture),
                                    int.Parse(mark[0], CultureInfo.InvariantCulture)
                                )
                            ),
                    ]
                );
            }
        }

        public void Dispose() => File.Dispose();
    }
}
