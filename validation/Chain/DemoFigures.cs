using System.Text.Json;
using Hillrow.Checks;
using Hillrow.Estate;
using Hillrow.Estate.Tests;

namespace Hillrow.Validation.Chain;

/// <summary>The whole job once, through the public commands: demo, its products before other programs' eyes.</summary>
public sealed class DemoFigures : FigureSource
{
    internal static string[] SmallEstate { get; } = ["--hectares", "0.4"];
    internal static string[] SmallFlight { get; } = ["--captures", "12"];

    public override string Area => "chain";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        string folder = Path.Combine(run.ScratchFolder, "demo");
        string[] size = run.Quick ? [.. SmallEstate, .. SmallFlight] : [];
        string what = run.Quick ? "a small demo (0.4 ha, 12 captures a flight)" : "./hillrow demo DIR --json";
        HillrowProcess.Ended demo = HillrowProcess.Run(["demo", folder, "--json", .. size]);
        run.Say($"  demo ended with {demo.Code} after {demo.Took.TotalMinutes:0.0} min");
        foreach (string line in demo.Said.Split('\n').Where(line => line.StartsWith("  ", StringComparison.Ordinal)))
        {
            run.Say(line.TrimEnd());
        }

        yield return new Figure("demo.exitCode", demo.Code, $"exit code of {what}");
        yield return new Figure(
            "demo.minutes",
            demo.Took.TotalMinutes,
            $"{what}, rendering included, on {Environment.ProcessorCount} processors (depends on the machine)"
        );
        string estate = Path.Combine(folder, "estate");
        yield return Rasters(estate, run);
        yield return Packages(estate, run);
        yield return Score(estate, run);
        yield return Report(estate, run);
    }

    private static Figure Rasters(string estate, ValidationRun run)
    {
        string[] rasters = [.. OwnFiles(estate).Where(file => file.EndsWith(".tif", StringComparison.Ordinal))];
        int complaints = 0;
        if (rasters.Length > 0)
        {
            foreach ((string file, JsonElement told) in GdalJudge.Look(rasters))
            {
                string[] said =
                [
                    .. new[] { "errors", "warnings", "said" }
                        .Where(kind => told.TryGetProperty(kind, out _))
                        .SelectMany(kind => told.GetProperty(kind).EnumerateArray().Select(text => text.ToString())),
                ];
                complaints += said.Length;
                foreach (string text in said)
                {
                    run.Say($"  FAULT {Path.GetRelativePath(estate, file)}: {text}");
                }
            }
        }

        return new Figure(
            "rasters.cogComplaints",
            rasters.Length == 0 ? double.NaN : complaints,
            $"errors and warnings of GDAL's validate_cloud_optimized_geotiff (full check) on all {rasters.Length} rasters of the estate"
        );
    }

    private static Figure Packages(string estate, ValidationRun run)
    {
        string[] packages = [.. OwnFiles(estate).Where(file => file.EndsWith(".gpkg", StringComparison.Ordinal))];
        int complaints = 0;
        foreach (string file in packages)
        {
            string said = GeoPackageValidator.Complaints(file);
            if (said.Length > 0)
            {
                complaints++;
                run.Say($"  FAULT {Path.GetRelativePath(estate, file)}: {said}");
            }
        }

        // estate.gpkg and one observations.gpkg a survey, or the figure says nothing.
        int observed = packages.Count(file => Path.GetFileName(file) == ObservationsFile.FileName);
        return new Figure(
            "geopackages.complaints",
            observed == 0 ? double.NaN : complaints,
            $"files that GDAL's validate_gpkg complains of, of estate.gpkg and {observed} observations.gpkg"
        );
    }

    private static Figure Score(string estate, ValidationRun run)
    {
        HillrowProcess.Ended score = HillrowProcess.Run("rehearse", "score", estate, "--json");
        if (score.Code != 0)
        {
            run.Say($"  FAULT {score.Said.Trim()}");
            return new Figure("score.keysWithoutValue", double.NaN, "rehearse score did not end well");
        }

        int all = 0;
        int without = 0;
        IEnumerable<(string, JsonElement)> sheets = score
            .Result.GetProperty("surveys")
            .EnumerateObject()
            .Select(survey => (survey.Name, survey.Value))
            .Append(("estate", score.Result.GetProperty("estate")));
        foreach ((string subject, JsonElement sheet) in sheets)
        {
            foreach (JsonProperty figure in sheet.EnumerateObject())
            {
                all++;
                without += figure.Value.ValueKind == JsonValueKind.Null ? 1 : 0;
                run.Say($"  {subject} {figure.Name} = {figure.Value}");
            }
        }

        return new Figure(
            "score.keysWithoutValue",
            all == 0 ? double.NaN : without,
            $"keys of ./hillrow rehearse score without a value, of {all} over all surveys and the estate"
        );
    }

    private static Figure Report(string estate, ValidationRun run)
    {
        string report = Path.Combine(estate, "handover", "report.html");
        if (!File.Exists(report))
        {
            return new Figure("report.numbersNotInDatabases", double.NaN, "there is no report");
        }

        (int count, IReadOnlyList<string> missing) = ReportNumbers.Check(report, Path.Combine(estate, "estate.gpkg"));
        foreach (string line in missing)
        {
            run.Say($"  FAULT {line}");
        }

        return new Figure(
            "report.numbersNotInDatabases",
            count == 0 ? double.NaN : missing.Count,
            $"of {count} numbers on the page, those that the table findings does not hold to the last bit under their key"
        );
    }

    /// <summary>Every file of the estate but the card's own.</summary>
    private static IEnumerable<string> OwnFiles(string estate) =>
        Directory.Exists(estate)
            ? Directory
                .EnumerateFiles(estate, "*", SearchOption.AllDirectories)
                .Where(file => !file.Contains("/captures/", StringComparison.Ordinal))
                .Order(StringComparer.Ordinal)
            : [];
}
