using System.Globalization;
using System.Text.Json;
using Hillrow.TestSupport;
using Hillrow.Validation.Chain;

namespace Hillrow.Validation.Real;

/// <summary>What the runs on open data have in common: where data lie, where estates are made, what a run told.</summary>
internal static class RealData
{
    /// <summary>Names a folder in which the estates stay, to be looked at; without it they are removed with the run.</summary>
    private const string FolderVariable = "HILLROW_REAL_FOLDER";

    /// <summary>The data's folder; null, told, when this machine has none.</summary>
    public static string? Of(ValidationRun run, string name)
    {
        string? found = RepositoryFiles.OpenData(name);
        if (found is null)
        {
            run.Say($"  SKIPPED {name}: ../shared/opendata/{name} is not here");
        }

        return found;
    }

    public static RealEstates Estates(ValidationRun run) =>
        new(
            Environment.GetEnvironmentVariable(FolderVariable) is { } kept
                ? Directory.CreateDirectory(kept).FullName
                : run.ScratchFolder
        );

    /// <summary>Exit code of a run, with what it said when it did not end well.</summary>
    public static Figure Exit(string name, HillrowProcess.Ended ended, string what, ValidationRun run)
    {
        if (ended.Code != 0)
        {
            run.Say(ended.Said);
        }

        return new Figure(
            name,
            ended.Code,
            string.Create(CultureInfo.InvariantCulture, $"exit code; {what}; {ended.Took.TotalMinutes:0.0} min")
        );
    }

    /// <summary>How many plants are in which state, as the program's own ledger tells.</summary>
    public static IReadOnlyDictionary<string, int> States(string estate) =>
        HillrowProcess
            .Must("ledger", estate, "--json")
            .Result.GetProperty("blocks")
            .EnumerateArray()
            .ToDictionary(
                block => block.GetProperty("state").GetString()!,
                block => block.GetProperty("plants").GetInt32()
            );

    /// <summary>The same in words.</summary>
    public static string Ledger(string estate) =>
        string.Join(", ", States(estate).Select(entry => $"{entry.Value} {entry.Key}"));

    /// <summary>Plants of a survey as it is handed over: rows of the exported table by the plant's number.</summary>
    public static IReadOnlyDictionary<long, IReadOnlyDictionary<string, double>> Plants(
        string estate,
        string survey,
        string scratch
    )
    {
        string into = Path.Combine(scratch, "export-" + survey);
        HillrowProcess.Must("export", estate, survey, "--formats", "csv", "--to", into, "--as-is");
        string[] lines = File.ReadAllLines(Path.Combine(into, "plants.csv"));
        string[] names = lines[0].Split(',');
        Dictionary<long, IReadOnlyDictionary<string, double>> plants = [];
        foreach (string[] values in lines.Skip(1).Select(line => line.Split(',')))
        {
            Dictionary<string, double> numbers = [];
            for (int column = 0; column < Math.Min(names.Length, values.Length); column++)
            {
                if (double.TryParse(values[column], CultureInfo.InvariantCulture, out double value))
                {
                    numbers[names[column]] = value;
                }
            }

            plants[(long)numbers["plant"]] = numbers;
        }

        return plants;
    }

    /// <summary>Largest memory any step of a run had told, MiB; NaN when none did.</summary>
    public static double PeakMegabytes(JsonElement result) =>
        result.ValueKind == JsonValueKind.Object && result.TryGetProperty("steps", out JsonElement steps)
            ? steps.EnumerateArray().Select(step => step.GetProperty("peakMegabytes").GetDouble()).Max()
            : double.NaN;

    /// <summary>The same step by step, in words.</summary>
    public static string Peaks(JsonElement result) =>
        result.ValueKind == JsonValueKind.Object && result.TryGetProperty("steps", out JsonElement steps)
            ? string.Join(
                ", ",
                steps
                    .EnumerateArray()
                    .Select(step =>
                        string.Create(
                            CultureInfo.InvariantCulture,
                            $"{step.GetProperty("step").GetString()} {step.GetProperty("peakMegabytes").GetDouble():0} MiB {step.GetProperty("seconds").GetDouble():0} s"
                        )
                    )
            )
            : "";
}
