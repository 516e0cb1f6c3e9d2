using System.Diagnostics;
using Hillrow.Earth;
using Hillrow.Findings;
using Hillrow.Numerics;

namespace Hillrow.Validation.Findings;

/// <summary>Time and memory of decline and patches on a million plants.</summary>
public sealed class FindingsSpeedFigures : FigureSource
{
    private const double Gibibyte = 1024.0 * 1024 * 1024;

    public override string Area => "findings";

    public override int Order => 1;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        int blocks = run.Quick ? 4 : 40;
        const int PerBlock = 25_000;
        List<ObservedPlant> plants = Make(blocks, PerBlock, run.DrawnSeed);
        Stopwatch watch = Stopwatch.StartNew();
        FindingsResult result = FindingsStage.Run(plants, new FindingsSettings { Threads = 2 });
        double seconds = watch.Elapsed.TotalSeconds * 1e6 / plants.Count;
        using Process process = Process.GetCurrentProcess();
        yield return new Figure(
            "speed.secondsFor1000000Plants",
            seconds,
            $"{plants.Count} plants in {blocks} blocks, two threads, {result.Patches.Count} patches found{(run.Quick ? ", extrapolated" : "")} (depends on the machine)"
        );
        yield return new Figure(
            "memory.peakGiB",
            process.PeakWorkingSet64 / Gibibyte,
            $"peak of the whole measuring process, {plants.Count} plants held"
        );
    }

    /// <summary>Rows of 2.5 × 1.5 m, a soil wave, plant-to-plant spread, and five round patches a block.</summary>
    private static List<ObservedPlant> Make(int blocks, int perBlock, ulong seed)
    {
        SplittableRandom root = new(seed);
        List<ObservedPlant> plants = new(blocks * perBlock);
        int perRow = (int)Math.Sqrt(perBlock * 2.5 / 1.5);
        for (int block = 0; block < blocks; block++)
        {
            SplittableRandom draw = root.Split((ulong)block);
            double length = perBlock / (double)perRow * 2.5;
            (double East, double North, double Radius)[] patches =
            [
                .. Enumerable
                    .Range(0, 5)
                    .Select(_ => (draw.NextDouble(0, perRow * 1.5), draw.NextDouble(0, length), draw.NextDouble(4, 9))),
            ];
            for (int at = 0; at < perBlock; at++)
            {
                double east = at % perRow * 1.5;
                double north = at / perRow * 2.5;
                double ill = patches.Max(patch =>
                    Math.Clamp(
                        (patch.Radius - Math.Sqrt(Math.Pow(patch.East - east, 2) + Math.Pow(patch.North - north, 2)))
                            / 3,
                        0,
                        1
                    )
                );
                double soil = 0.03 * Math.Sin((east + north) / 60);
                plants.Add(
                    new ObservedPlant(
                        plants.Count + 1,
                        $"block {block:D3}",
                        new GridPoint(500_000 + (2_000 * block) + east, 9_000_000 + north),
                        north * 0.25,
                        [
                            new(0.42 + soil - (0.2 * ill) + (0.017 * draw.NextGaussian()), 0.017),
                            new(0.81 + soil - (0.2 * ill) + (0.017 * draw.NextGaussian()), 0.017),
                            new(-0.7 - (0.8 * ill) + (0.16 * draw.NextGaussian()), 0.16),
                            new(0.98 - (0.04 * ill) + (0.02 * draw.NextGaussian()), 0.02),
                        ]
                    )
                );
            }
        }

        return plants;
    }
}
