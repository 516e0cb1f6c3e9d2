using System.Text.Json;
using Hillrow.Checks;
using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Mapping.Checks;

namespace Hillrow.Validation.Mapping;

/// <summary>
/// What Mapping itself adds to the errors of place and reflectance: analytic canopy on a 35 % slope, ideal frames, true
/// poses and surface; worst of five seeds. The whole chain's errors are measured on rehearsed flights (area chain).
/// </summary>
public sealed class OrthoFigures : FigureSource
{
    private const string Scene =
        "mapping's own part: crowns 2.2 m high on a 35 % slope, ideal frames, true poses and surface, shifts solved in windows of 16 cells";

    public override string Area => "mapping";

    public override int Order => 10;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ulong[] seeds = run.Quick ? [1, run.DrawnSeed] : [1, 2, 3, 4, run.DrawnSeed];
        List<PlaceErrors> errors = [];
        int complaints = 0;
        foreach (ulong seed in seeds)
        {
            SyntheticSurvey survey = new(CanopyScene.HeightAt, seed: seed);
            string folder = Directory.CreateDirectory(Path.Combine(run.ScratchFolder, $"map-{seed}")).FullName;
            MappingStage.Run(survey.InputTo(folder));
            errors.Add(new PlaceErrors(survey, new MapReading(MapFiles.In(folder))));
            complaints += Complaints(folder, run.Say);
            run.Say($"mapped the canopy scene, seed {seed}: {errors[^1].Windows} windows");
        }

        string how = FormattableString.Invariant(
            $"{Scene}; worst of {seeds.Length} seeds, one drawn ({run.DrawnSeed})"
        );
        yield return new Figure("bands.misalignmentRmsPx", errors.Max(one => one.MisalignmentRmsPixels), how);
        yield return new Figure("bands.misalignment95Px", errors.Max(one => one.Misalignment95Pixels), how);
        yield return new Figure("ortho.errorRmsPx", errors.Max(one => one.PlaceRmsPixels), how);
        yield return new Figure(
            "layers.gdalComplaints",
            GdalJudge.Absence is null ? complaints : double.NaN,
            $"COG validator, and minimum, maximum and mean of gdalinfo -stats against our own, every layer of {seeds.Length} maps"
        );
    }

    private static int Complaints(string folder, Action<string> say)
    {
        if (GdalJudge.Absence is not null)
        {
            return 0;
        }

        int complaints = 0;
        string[] paths = [.. Directory.EnumerateFiles(folder, "*.tif").Order(StringComparer.Ordinal)];
        foreach ((string path, JsonElement said) in GdalJudge.Look(paths))
        {
            foreach (string kind in (ReadOnlySpan<string>)["errors", "warnings", "said"])
            {
                if (said.TryGetProperty(kind, out JsonElement list))
                {
                    complaints += list.GetArrayLength();
                    foreach (JsonElement one in list.EnumerateArray())
                    {
                        say($"{Path.GetFileName(path)}: {one}");
                    }
                }
            }

            complaints += WrongStatistics(path, say);
        }

        return complaints;
    }

    private static int WrongStatistics(string path, Action<string> say)
    {
        int wrong = 0;
        JsonElement bands = JsonDocument
            .Parse(GdalJudge.Run("gdalinfo", ["-json", "-stats", path]))
            .RootElement.GetProperty("bands");
        using RasterFile file = RasterFile.Open(path);
        double[] values = new double[file.Rows * file.Columns];
        for (int band = 0; band < file.BandCount; band++)
        {
            file.Read(0, band, new RasterWindow(0, 0, file.Rows, file.Columns), values);
            double[] held = [.. values.Where(value => !value.Equals(file.NoData))];
            JsonElement told = bands[band];
            foreach (
                (string name, double ours) in (ReadOnlySpan<(string, double)>)
                    [("minimum", held.Min()), ("maximum", held.Max()), ("mean", held.Average())]
            )
            {
                double theirs = told.GetProperty(name).GetDouble();
                if (Math.Abs(theirs - ours) > 0.0006 + (1e-6 * Math.Abs(ours)))
                {
                    wrong++;
                    say(
                        FormattableString.Invariant(
                            $"{Path.GetFileName(path)} band {band + 1}: {name} {theirs}, ours {ours}"
                        )
                    );
                }
            }
        }

        return wrong;
    }
}
