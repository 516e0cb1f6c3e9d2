using System.Text.Json;
using Hillrow.Checks;
using Hillrow.Validation.Chain;

namespace Hillrow.Validation.Real;

/// <summary>Slanted pictures from a kite, a folder to the orthomosaic and index maps.</summary>
public sealed class RealKiteFigures : FigureSource
{
    private const double MebibytesPerGibibyte = 1024;

    public override string Area => "real";

    public override int Order => 2;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        if (run.Quick)
        {
            run.Say("  --quick: the kite's pictures are left out (a quarter of an hour and more)");
            yield break;
        }

        if (RealData.Of(run, "kite-farmland") is not { } data)
        {
            yield break;
        }

        (string estate, HillrowProcess.Ended ended) = RealData.Estates(run).Kite(data);
        yield return RealData.Exit(
            "kite.exitCode",
            ended,
            "./hillrow run; 28 pictures without positions, ground control, to the map",
            run
        );
        yield return new Figure(
            "kite.peakGiB",
            RealData.PeakMegabytes(ended.Result) / MebibytesPerGibibyte,
            $"largest resident memory of the whole run, as --json tells it so far after each step: {RealData.Peaks(ended.Result)}"
        );
        HillrowProcess.Ended maps = HillrowProcess.Run(
            "maps",
            estate,
            "--index",
            "GLI",
            "--index",
            "(green - red) / (green + red)",
            "--composite",
            "red,green,blue",
            "--json"
        );
        yield return RealData.Exit("kite.mapsExitCode", maps, "./hillrow maps; an index by name, one by formula", run);
        yield return Rasters(estate, run);
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
