using System.Text.Json;
using Hillrow.EngineChild;
using Hillrow.Estate.Tests;

namespace Hillrow.Validation.Chain;

/// <summary>A run killed at seeded moments and run again ends as an undisturbed one, byte for byte.</summary>
public sealed class KillFigures : FigureSource
{
    private const ulong FixedSeed = 2_026;

    /// <summary>Killed not before this share of the run and not after its end.</summary>
    private const double EarliestKill = 0.02;

    /// <summary>A busy machine that falls quiet may do a run in a third of the time.</summary>
    private const double SoonerShare = 0.6;
    private const int MostTries = 5;

    /// <summary>As small as a run still goes from the card to the page: what is judged is the engine, not the maps.</summary>
    private static readonly string[] SmallEstate = ["--hectares", "0.3"];
    private static readonly string[] SmallFlight = ["--captures", "8"];

    public override string Area => "chain";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        yield return Kills(run);
    }

    private static Figure Kills(ValidationRun run)
    {
        int trials = run.Quick ? 2 : 10;
        string made = Path.Combine(run.ScratchFolder, "kills", "estate");
        Directory.CreateDirectory(Path.GetDirectoryName(made)!);
        JsonElement dates = HillrowProcess
            .Must(["rehearse", "estate", made, "--json", .. SmallEstate])
            .Result.GetProperty("dates");
        foreach (string day in dates.EnumerateArray().Select(day => day.GetString()!))
        {
            HillrowProcess.Ended flight = HillrowProcess.Must([
                "rehearse",
                "fly",
                made,
                "--date",
                day,
                "--json",
                .. SmallFlight,
            ]);
            HillrowProcess.Must(
                "survey",
                "add",
                made,
                flight.Result.GetProperty("card").GetString()!,
                "--date",
                day,
                "--camera",
                Path.GetFileNameWithoutExtension(flight.Result.GetProperty("profile").GetString()!)
            );
        }

        string alone = made + "-alone";
        EngineTrials.CopyFolder(made, alone);
        HillrowProcess.Ended whole = HillrowProcess.Run("run", alone, "--json");
        run.Say($"  undisturbed run ended with {whole.Code} after {whole.Took.TotalSeconds:0} s");
        if (whole.Code != 0)
        {
            run.Say($"  FAULT {whole.Said.Trim()}");
            return new Figure("kills.notIdentical", double.NaN, "the undisturbed run did not end well");
        }

        SortedDictionary<string, string> wanted = EstateSnapshot.Of(alone);
        int unlike = 0;
        int killed = 0;
        // Half at a seed that stays, half drawn at this run.
        Random[] seeds = [new((int)FixedSeed), new((int)(run.DrawnSeed % int.MaxValue))];
        for (int trial = 0; trial < trials; trial++)
        {
            string copy = made + "-trial";
            EngineTrials.CopyFolder(made, copy);
            double share = EarliestKill + ((1 - EarliestKill) * seeds[trial % 2].NextDouble());
            // A run that outpaced the undisturbed one ended before its kill: again, killed earlier.
            HillrowProcess.Ended first = HillrowProcess.Run(whole.Took * share, "run", copy);
            for (int again = 0; first.Code == 0 && again < MostTries; again++)
            {
                Directory.Delete(copy, recursive: true);
                EngineTrials.CopyFolder(made, copy);
                share *= SoonerShare;
                first = HillrowProcess.Run(whole.Took * share, "run", copy);
            }

            killed += first.Code == 0 ? 0 : 1;
            HillrowProcess.Ended second = HillrowProcess.Run("run", copy, "--json");
            IReadOnlyList<string> unlikes =
                second.Code == 0
                    ? EstateSnapshot.Differences(wanted, EstateSnapshot.Of(copy))
                    : [$"the second run ended with {second.Code}: {second.Said.Trim()}"];
            unlike += unlikes.Count > 0 ? 1 : 0;
            run.Say(
                $"  killed at {share:0.00} of the run: {(unlikes.Count == 0 ? "identical" : "FAULT " + string.Join("; ", unlikes))}"
            );
            Directory.Delete(copy, recursive: true);
        }

        return new Figure(
            "kills.notIdentical",
            killed < trials ? double.NaN : unlike,
            $"{trials} runs of a small estate (0.3 ha, two surveys of 8 captures), {killed} of them killed (SIGKILL) before their end at seeded moments and run again: files and rows against an undisturbed run"
        );
    }
}
