using System.Diagnostics;
using Hillrow.Numerics;

namespace Hillrow.EngineChild;

/// <summary>The run engine's two hard trials, the same for its tests and its figures.</summary>
public static class EngineTrials
{
    /// <summary>Kills a run in the middle, once to three times, and lets it end; for each seeded trial.</summary>
    /// <param name="scratch">An empty folder.</param>
    /// <param name="seed">Decides the moments.</param>
    /// <param name="trials">How many runs are killed.</param>
    /// <param name="millisecondsPerStep">Time a step takes besides its writing.</param>
    /// <param name="say">Told about each trial.</param>
    /// <returns>For each trial that did not end as the undisturbed run, what differs.</returns>
    public static IReadOnlyList<string> Kill(
        string scratch,
        ulong seed,
        int trials,
        int millisecondsPerStep,
        Action<string> say
    )
    {
        string template = Path.Combine(scratch, "template");
        SyntheticRun.MakeEstate(template, seed);
        string undisturbed = Path.Combine(scratch, "undisturbed");
        CopyFolder(template, undisturbed);
        Stopwatch watch = Stopwatch.StartNew();
        Require(Finish(undisturbed, millisecondsPerStep) == 0, "the undisturbed run did not end well");
        TimeSpan whole = watch.Elapsed;
        SortedDictionary<string, string> wanted = EstateSnapshot.Of(undisturbed);
        List<string> failures = [];
        SplittableRandom random = new SplittableRandom(seed).Split("kills");
        int killed = 0;
        for (int trial = 0; trial < trials; trial++)
        {
            string estate = Path.Combine(scratch, $"trial-{trial}");
            CopyFolder(template, estate);
            int kills = 1 + random.NextInt32(3);
            for (int kill = 0; kill < kills; kill++)
            {
                killed += KillAfter(estate, millisecondsPerStep, whole * random.NextDouble(0.05, 1.0)) ? 1 : 0;
            }

            int code = Finish(estate, millisecondsPerStep);
            IReadOnlyList<string> differences = EstateSnapshot.Differences(wanted, EstateSnapshot.Of(estate));
            if (code != 0 || differences.Count > 0)
            {
                failures.Add($"trial {trial}: exit {code}, {string.Join("; ", differences.Take(5))}");
            }

            Directory.Delete(estate, recursive: true);
        }

        say(
            FormattableString.Invariant(
                $"{trials} trials, {killed} processes killed in a run of {whole.TotalSeconds:0.0} s"
            )
        );
        Require(killed >= trials / 2, "too few processes were killed before they ended: the trial says nothing");
        return failures;
    }

    /// <summary>Two processes write to one estate and run it at the same time, many rounds.</summary>
    /// <returns>What came out wrong; empty when nothing did.</returns>
    public static IReadOnlyList<string> Contend(string scratch, ulong seed, int rounds, Action<string> say)
    {
        string template = Path.Combine(scratch, "template");
        SyntheticRun.MakeEstate(template, seed);
        string alone = Path.Combine(scratch, "alone");
        CopyFolder(template, alone);
        // What the counter must have come to when no write was lost.
        Contention.SetCounter(Estate.EstateFolder.Open(alone), 2 * rounds);
        Require(Finish(alone, 0) == 0, "the run alone did not end well");
        string shared = Path.Combine(scratch, "shared");
        CopyFolder(template, shared);
        Contention.SetCounter(Estate.EstateFolder.Open(shared), 0);
        using Process first = Start("contend", shared, "first", rounds);
        using Process second = Start("contend", shared, "second", rounds);
        List<string> failures = [];
        foreach (Process process in new[] { first, second })
        {
            string told = process.StandardOutput.ReadToEnd();
            string error = process.StandardError.ReadToEnd();
            process.WaitForExit();
            say(told.Trim());
            if (process.ExitCode != 0)
            {
                failures.Add($"exit {process.ExitCode}: {error.Trim()}");
            }
        }

        Require(Finish(shared, 0) == 0, "the last run did not end well");
        SortedDictionary<string, string> got = EstateSnapshot.Of(shared);
        string[] rows = got["table samples"].Split('\n', StringSplitOptions.RemoveEmptyEntries);
        if (rows.Length != 2 * rounds)
        {
            failures.Add($"{rows.Length} rows were kept of {2 * rounds} written");
        }

        SortedDictionary<string, string> wanted = EstateSnapshot.Of(alone);
        foreach (string table in new[] { "table samples", "table sqlite_sequence" })
        {
            // The samples are what the two wrote beside the run.
            got.Remove(table);
            wanted.Remove(table);
        }

        // Steps that were done many times have rows with higher numbers, and the same content.
        foreach (
            string table in wanted
                .Keys.Where(key => key.StartsWith("table run_", StringComparison.Ordinal))
                .Append("table findings")
                .ToArray()
        )
        {
            wanted[table] = WithoutNumbers(wanted[table]);
            got[table] = WithoutNumbers(got[table]);
        }

        failures.AddRange(EstateSnapshot.Differences(wanted, got));
        failures.AddRange(
            Directory.GetFiles(shared, "estate.gpkg-*").Select(file => $"{Path.GetFileName(file)} was left behind")
        );
        return failures;
    }

    private static string WithoutNumbers(string rows) =>
        string.Join('\n', rows.Split('\n').Select(row => row[(row.IndexOf('|') + 1)..]).Order(StringComparer.Ordinal));

    public static void CopyFolder(string from, string to)
    {
        Directory.CreateDirectory(to);
        foreach (string folder in Directory.EnumerateDirectories(from, "*", SearchOption.AllDirectories))
        {
            Directory.CreateDirectory(Path.Combine(to, Path.GetRelativePath(from, folder)));
        }

        foreach (string file in Directory.EnumerateFiles(from, "*", SearchOption.AllDirectories))
        {
            File.Copy(file, Path.Combine(to, Path.GetRelativePath(from, file)));
        }
    }

    /// <summary>Runs an estate to its end in a process of its own.</summary>
    /// <returns>The exit code.</returns>
    public static int Finish(string estate, int millisecondsPerStep)
    {
        using Process process = Start("run", estate, millisecondsPerStep.ToString(), 0);
        string error = process.StandardError.ReadToEnd();
        process.WaitForExit();
        return error.Length == 0 ? process.ExitCode : throw new InvalidOperationException(error);
    }

    /// <summary>How the child program is started; a shell tool may be put before it.</summary>
    public static ProcessStartInfo Command(string verb, string estate, string third, int fourth)
    {
        ProcessStartInfo start = new(
            Environment.ProcessPath!.EndsWith("dotnet", StringComparison.Ordinal) ? Environment.ProcessPath : "dotnet"
        )
        {
            UseShellExecute = false,
            RedirectStandardError = true,
            RedirectStandardOutput = true,
        };
        start.ArgumentList.Add(typeof(EngineTrials).Assembly.Location);
        start.ArgumentList.Add(verb);
        start.ArgumentList.Add(estate);
        start.ArgumentList.Add(third);
        start.ArgumentList.Add(fourth.ToString());
        return start;
    }

    private static bool KillAfter(string estate, int millisecondsPerStep, TimeSpan moment)
    {
        using Process process = Start("run", estate, millisecondsPerStep.ToString(), 0);
        if (process.WaitForExit(moment))
        {
            return false;
        }

        process.Kill(); // SIGKILL
        process.WaitForExit();
        return true;
    }

    private static Process Start(string verb, string estate, string third, int fourth) =>
        Process.Start(Command(verb, estate, third, fourth))!;

    private static void Require(bool holds, string problem)
    {
        if (!holds)
        {
            throw new InvalidOperationException(problem);
        }
    }
}
