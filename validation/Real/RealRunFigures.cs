using System.Text.Json;
using Hillrow.Checks;
using Hillrow.TestSupport;
using Hillrow.Validation.Chain;

namespace Hillrow.Validation.Real;

/// <summary>Runs on data that nobody here made end well, by public commands alone; what is absent is told and skipped.</summary>
public sealed class RealRunFigures : FigureSource
{
    public override string Area => "real";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        RealEstates estates = new(run.ScratchFolder);
        if (Data(run, "urban-trees-rgbnir") is { } street)
        {
            (string estate, HillrowProcess.Ended ended) = estates.Street(street);
            yield return Exit("street.exitCode", ended, $"maps of two dates to the ledger: {Ledger(estate)}", run);
        }

        if (Data(run, "drone-cassava-9dates") is { } plot)
        {
            (string estate, HillrowProcess.Ended ended) = estates.Plot(plot);
            yield return Exit("plot.exitCode", ended, $"maps of nine dates to the ledger: {Ledger(estate)}", run);
        }

        if (run.Quick)
        {
            run.Say("  --quick: the kite's pictures are left out (a quarter of an hour and more)");
            yield break;
        }

        if (Data(run, "kite-farmland") is { } kite)
        {
            (string estate, HillrowProcess.Ended ended) = estates.Kite(kite);
            yield return Exit("kite.exitCode", ended, "28 pictures without positions, ground control, to the map", run);
            yield return Rasters(estate, run);
        }
    }

    private static string? Data(ValidationRun run, string name)
    {
        string? found = RepositoryFiles.OpenData(name);
        if (found is null)
        {
            run.Say($"  SKIPPED {name}: ../shared/opendata/{name} is not here");
        }

        return found;
    }

    private static Figure Exit(string name, HillrowProcess.Ended ended, string what, ValidationRun run)
    {
        if (ended.Code != 0)
        {
            run.Say(ended.Said);
        }

        return new Figure(name, ended.Code, $"exit code of ./hillrow run; {what}; {ended.Took.TotalMinutes:0.0} min");
    }

    /// <summary>How many plants are in which state, as the program's own ledger tells.</summary>
    private static string Ledger(string estate)
    {
        HillrowProcess.Ended told = HillrowProcess.Run("ledger", estate, "--json");
        return
            told.Result.ValueKind != JsonValueKind.Object
            || !told.Result.TryGetProperty("blocks", out JsonElement blocks)
            ? "no ledger"
            : string.Join(
                ", ",
                blocks.EnumerateArray().Select(block => $"{block.GetProperty("plants")} {block.GetProperty("state")}")
            );
    }

    private static Figure Rasters(string estate, ValidationRun run)
    {
        const string Name = "kite.cogComplaints";
        if (GdalJudge.Absence is { } absence)
        {
            return new Figure(Name, double.NaN, absence);
        }

        string[] maps = [.. Directory.EnumerateFiles(estate, "*.tif", SearchOption.AllDirectories).Where(IsOwn)];
        int complaints = 0;
        foreach ((string file, JsonElement told) in GdalJudge.Look(maps))
        {
            foreach (string kind in new[] { "errors", "warnings", "said" })
            {
                foreach (
                    JsonElement text in told.TryGetProperty(kind, out JsonElement said) ? said.EnumerateArray() : []
                )
                {
                    complaints++;
                    run.Say($"  FAULT {Path.GetRelativePath(estate, file)}: {text}");
                }
            }
        }

        bool laid = maps.Any(file => Path.GetFileName(file) == "reflectance.tif");
        return new Figure(
            Name,
            laid ? complaints : double.NaN,
            $"GDAL's cloud-optimized validator (full check) on {maps.Length} rasters{(laid ? "" : "; no orthomosaic among them")}"
        );
    }

    private static bool IsOwn(string file) =>
        Path.GetFileName(Path.GetDirectoryName(file)) is not ("terrain" or "captures");
}
