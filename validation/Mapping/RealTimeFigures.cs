using System.Text.Json;
using Hillrow.Validation.Chain;

namespace Hillrow.Validation.Mapping;

/// <summary>Card → field check, surface, orthomosaic on one long flight, by the public commands: time against the flight's own, memory.</summary>
public sealed class RealTimeFigures : FigureSource
{
    /// <summary>Steps from the card to the orthomosaic; plants and findings come after.</summary>
    private static readonly string[] Counted = ["intake", "radiometry", "reconstruction", "light", "mapping"];

    public override string Area => "mapping";

    public override int Order => 80;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        if (run.Quick)
        {
            yield break;
        }

        LongFlight flight = LongFlight.Of(run);

        // A fresh estate each time: outputs are never taken from an earlier run.
        string estate = Path.Combine(run.ScratchFolder, "mapped");
        CopyFolder(flight.Estate, estate);
        _ = HillrowProcess.Must("survey", "add", estate, flight.Card, "--date", flight.Day, "--link");
        HillrowProcess.Ended check = HillrowProcess.Run("check", estate, "--json");
        HillrowProcess.Ended ran = HillrowProcess.Run("run", estate, "--json");
        double seconds = check.Took.TotalSeconds;
        double peak = 0;
        run.Say(
            FormattableString.Invariant(
                $"    {"field check", -20} {check.Took.TotalSeconds, 8:F1} s (exit code {check.Code})"
            )
        );
        int done = 0;
        foreach (JsonElement step in ran.Result.GetProperty("steps").EnumerateArray())
        {
            string name = step.GetProperty("step").GetString()!;
            double took = step.GetProperty("seconds").GetDouble();
            double worked = step.GetProperty("processorSeconds").GetDouble();
            double memory = step.GetProperty("peakMegabytes").GetDouble();
            bool counted = Counted.Contains(name);
            run.Say(
                FormattableString.Invariant(
                    $"    {name, -20} {took, 8:F1} s {worked, 8:F1} processor s {worked / Math.Max(took, 1e-3), 5:F2} cores {worked / flight.Captures, 7:F3} processor s a capture, peak so far {memory, 6:F0} MB{(counted ? "" : " (not counted)")}"
                )
            );
            if (counted)
            {
                done++;
                seconds += took;
                peak = Math.Max(peak, memory);
            }
        }

        string how = FormattableString.Invariant(
            $"{flight.Captures} captures of 5 bands, one every {LongFlight.SecondsPerCapture} s, native pixel size, {Environment.ProcessorCount} processors: {seconds:F0} s"
        );
        yield return new Figure(
            "realTime.shareOfFlight",
            done == Counted.Length ? seconds / flight.FlightSeconds : double.NaN,
            how + ", field check and run one after the other"
        );
        yield return new Figure("realTime.peakGigabytes", peak / 1024, how + "; VmHWM of the run up to the map, GiB");
    }

    private static void CopyFolder(string from, string to)
    {
        foreach (string file in Directory.EnumerateFiles(from, "*", SearchOption.AllDirectories))
        {
            string into = Path.Combine(to, Path.GetRelativePath(from, file));
            Directory.CreateDirectory(Path.GetDirectoryName(into)!);
            File.Copy(file, into);
        }
    }
}
