using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using Hillrow.Numerics.LeastSquares;
using Hillrow.Numerics.Tests.BundleAdjustment;

namespace Hillrow.Bench;

/// <summary>
/// Bundle adjustment of 500 cameras and about 100,000 points, ours and Ceres' sparse Schur solver by turns, from the
/// same file to the same cost. How to run: bench/README.md.
/// </summary>
public static class SolverRatio
{
    /// <summary>Both solvers stop by the same rule, and their costs must agree to this share.</summary>
    private const double CostTolerance = 1e-6;
    private const double HuberPixels = 1;

    /// <param name="yardstick">Path of the built bal_ceres.</param>
    /// <param name="rounds">Runs of each kind; the best counts.</param>
    public static void Run(string yardstick, int rounds)
    {
        BalProblem scene = BalScene.Create(1, strips: 20, perStrip: 25, points: 101_000, seenShare: 0.5, 0.5);
        string file = Path.Combine(Path.GetTempPath(), "hillrow-solver-ratio.bal.txt");
        scene.Write(file);
        Console.WriteLine(
            $"{scene.CameraCount} cameras, {scene.Points.Length / 3} points, {scene.Camera.Length} observations"
        );
        double[] ours = [double.MaxValue, double.MaxValue];
        double[] theirs = [double.MaxValue, double.MaxValue];
        double ourProcessor = double.MaxValue;
        double theirProcessor = double.MaxValue;
        for (int round = 0; round < rounds; round++)
        {
            for (int threads = 1; threads <= 2; threads++)
            {
                Spent our = Ours(scene, threads);
                Spent their = Theirs(yardstick, file, threads);
                ours[threads - 1] = Math.Min(ours[threads - 1], our.Seconds);
                theirs[threads - 1] = Math.Min(theirs[threads - 1], their.Seconds);
                ourProcessor = Math.Min(ourProcessor, our.ProcessorSeconds);
                theirProcessor = Math.Min(theirProcessor, their.ProcessorSeconds);
            }
        }

        File.Delete(file);
        Console.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"best of {rounds}: ours {ours[0]:F2} s / {ours[1]:F2} s, theirs {theirs[0]:F2} s / {theirs[1]:F2} s (1 / 2 threads)"
            )
        );
        Console.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"ratio ours/theirs, best of both: {ours.Min() / theirs.Min():F3} by the clock, {ourProcessor / theirProcessor:F3} in processor time ({ourProcessor:F2} s / {theirProcessor:F2} s)"
            )
        );
    }

    private static Spent Ours(BalProblem scene, int threads)
    {
        TimeSpan processorBefore = Environment.CpuUsage.TotalTime;
        long begin = Stopwatch.GetTimestamp();
        using BlockSolver solver = new(
            scene.ToBlockProblem(RobustLoss.Huber(HuberPixels)),
            new BlockSolverSettings { CostTolerance = CostTolerance, Threads = threads }
        );
        double laidOut = Stopwatch.GetElapsedTime(begin).TotalSeconds;
        BlockSolverSummary summary = solver.Solve();
        Spent spent = new(
            Stopwatch.GetElapsedTime(begin).TotalSeconds,
            (Environment.CpuUsage.TotalTime - processorBefore).TotalSeconds
        );
        Console.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"ours   {threads} thr: {spent.Seconds:F2} s, {spent.ProcessorSeconds:F2} s of processor (lay-out {laidOut:F2}), {summary.StepsTried} steps, cost {summary.CostBefore:G9} -> {summary.CostAfter:G9}"
            )
        );
        return spent;
    }

    private static Spent Theirs(string yardstick, string file, int threads)
    {
        ProcessStartInfo start = new(yardstick)
        {
            UseShellExecute = false,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        foreach (
            string argument in new[]
            {
                file,
                threads.ToString(CultureInfo.InvariantCulture),
                HuberPixels.ToString(CultureInfo.InvariantCulture),
                CostTolerance.ToString(CultureInfo.InvariantCulture),
                "100",
            }
        )
        {
            start.ArgumentList.Add(argument);
        }

        using Process process = Process.Start(start)!;
        Task<string> report = process.StandardError.ReadToEndAsync();
        JsonElement result = JsonDocument.Parse(process.StandardOutput.ReadToEnd()).RootElement;
        process.WaitForExit();
        _ = report.Result;
        Spent spent = new(
            result.GetProperty("totalSeconds").GetDouble(),
            result.GetProperty("processorSeconds").GetDouble()
        );
        Console.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"theirs {threads} thr: {spent.Seconds:F2} s, {spent.ProcessorSeconds:F2} s of processor, {result.GetProperty("iterations").GetInt32()} steps, cost {result.GetProperty("initialCost").GetDouble():G9} -> {result.GetProperty("finalCost").GetDouble():G9}"
            )
        );
        return spent;
    }

    /// <summary>Time by the clock, and user and system time of all threads.</summary>
    private readonly record struct Spent(double Seconds, double ProcessorSeconds);
}
