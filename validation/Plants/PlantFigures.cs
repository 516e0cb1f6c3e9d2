using System.Diagnostics;
using Hillrow.Checks;
using Hillrow.Plants;
using Hillrow.Validation.Ground;

namespace Hillrow.Validation.Plants;

/// <summary>
/// Plants, gaps and crowns on modelled maps with known truth: the worst of five seeds, one drawn at the run.
/// The maps carry weeds, noise and bent rows, but no error of poses or surface: those judge the intervals (IntervalFigures).
/// </summary>
public sealed class PlantFigures : FigureSource
{
    public override string Area => "plants";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        yield return CheckShare.Of("checks.polygonsZonal.shareHolding", PolygonChecks.All());
        yield return CheckShare.Of("checks.heightModels.shareHolding", [HeightModelChecks.Plants()]);
        double side = run.Quick ? 40 : 80;
        ulong[] seeds = [1, 2, 3, 4, run.DrawnSeed];
        List<PlantScore> scores = [];
        foreach (ulong seed in seeds)
        {
            // Half of the blocks have crowns that touch along the row.
            ModelledPlanting planting = new() { SideMetres = side, RadiusMean = seed % 2 == 0 ? 0.85 : 0.66 };
            ModelledBlock block = ModelledBlock.Make(planting, seed);
            PlantsResult found = PlantsStage.Run(block.Input(true), new PlantsSettings(), null, default);
            scores.Add(PlantScore.Of(block, found.Blocks[0]));
            run.Say($"plants, seed {seed}: {scores[^1]}");
        }

        string how =
            $"worst of 5 seeds (drawn: {run.DrawnSeed}), modelled maps of {side:F0} × {side:F0} m at 5 cm, 1.5 × 2.5 m, 5 % gaps, weeds, crowns apart and touching, spacings found by itself";
        yield return new Figure("detection.f1", scores.Min(score => score.F1), how);
        yield return new Figure("detection.countErrorShare", scores.Max(score => score.CountErrorShare), how);
        yield return new Figure(
            "gaps.recall",
            scores.Min(score => score.GapRecall),
            $"{how}; all missing plants, row ends too (between two plants of the row: {scores.Min(score => score.InnerGapRecall):F3})"
        );
        yield return new Figure("gaps.precision", scores.Min(score => score.GapPrecision), how);
        yield return new Figure("height.biasMetres", scores.Max(score => Math.Abs(score.HeightBiasMetres)), how);
        yield return new Figure("height.rmseMetres", scores.Max(score => score.HeightRmseMetres), how);
        yield return new Figure("crownArea.rSquared", scores.Min(score => score.AreaRSquared), how);
        yield return new Figure("crownArea.biasShare", scores.Max(score => Math.Abs(score.AreaBiasShare)), how);
        if (!run.Quick)
        {
            foreach (Figure figure in Speed(run))
            {
                yield return figure;
            }
        }
    }

    private static IEnumerable<Figure> Speed(ValidationRun run)
    {
        // 1.5 × 2.5 m with 5 % gaps: 50,000 plants need 19.7 ha.
        ModelledPlanting planting = new() { SideMetres = 448 };
        ModelledBlock block = ModelledBlock.Make(planting, 5);
        run.Say($"{block.Plants.Count} plants are modelled");
        long before = GC.GetTotalMemory(forceFullCollection: true);
        Stopwatch watch = Stopwatch.StartNew();
        PlantsResult found = PlantsStage.Run(block.Input(true), new PlantsSettings { Threads = 2 }, null, default);
        double seconds = watch.Elapsed.TotalSeconds;
        int count = found.Blocks[0].Plants.Count;
        string how =
            $"{count} plants found of {block.Plants.Count}, one block, 2 threads, maps in memory (machine-dependent)";
        yield return new Figure("speed.secondsFor50000Plants", seconds * 50_000 / Math.Max(1, count), how);

        // Peak of the process less what the modelled maps themselves take.
        double peak = (Process.GetCurrentProcess().PeakWorkingSet64 - before) / (double)(1 << 30);
        yield return new Figure("memory.peakGiB", peak, how + "; without the maps");
    }
}
