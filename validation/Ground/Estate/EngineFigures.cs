using Hillrow.EngineChild;

namespace Hillrow.Validation.Ground;

/// <summary>The run engine under kills, and under two processes on one estate.</summary>
public sealed class EngineFigures : FigureSource
{
    private const ulong FixedSeed = 2_026;

    public override string Area => "ground";

    public override int Order => 40;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        int trials = run.Quick ? 6 : 30;
        int rounds = run.Quick ? 10 : 100;
        int unlike = 0;
        // Half of the kills at seeds that stay, half drawn at this run.
        foreach ((ulong seed, int count) in new[] { (FixedSeed, trials / 2), (run.DrawnSeed, trials - (trials / 2)) })
        {
            string folder = Fresh(run, $"kills-{seed}");
            IReadOnlyList<string> failures = EngineTrials.Kill(folder, seed, count, 20, text => run.Say($"  {text}"));
            foreach (string failure in failures)
            {
                run.Say($"  FAULT {failure}");
            }

            unlike += failures.Count;
        }

        yield return new Figure(
            "engine.killsNotResumedIdentically",
            unlike,
            $"{trials} runs of 20 steps in a child process, each killed (SIGKILL) 1 to 3 times at seeded moments and resumed: all files and rows against an undisturbed run"
        );

        IReadOnlyList<string> corruptions = EngineTrials.Contend(
            Fresh(run, "contend"),
            FixedSeed,
            rounds,
            text => run.Say($"  {text}")
        );
        foreach (string corruption in corruptions)
        {
            run.Say($"  FAULT {corruption}");
        }

        yield return new Figure(
            "engine.corruptionsByTwoProcesses",
            corruptions.Count,
            $"two processes, {rounds} rounds each of a write and a whole run on one estate: lost rows, unlike files or rows, failed integrity checks, side files left"
        );
    }

    private static string Fresh(ValidationRun run, string name) =>
        Directory.CreateDirectory(Path.Combine(run.ScratchFolder, name)).FullName;
}
