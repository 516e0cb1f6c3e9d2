using System.Diagnostics;
using Hillrow.Checks;
using Hillrow.Numerics;
using Hillrow.Planning;
using Hillrow.Sight;

namespace Hillrow.Validation.Planning;

/// <summary>Time and memory of one large plan: 200 ha in 20 blocks with holes, 30 m terrain with σ 9.7 m, two threads.</summary>
public sealed class PlanSpeedFigures : FigureSource
{
    private const int BlockCount = 20;

    public override string Area => "planning";

    // Before the others: the peak of memory is the process's own.
    public override int Order => 0;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        PlanningInput input = Estate();
        double hectares = input.Blocks.Sum(block => block.AreaSquareMetres) / 10_000;
        double best = double.PositiveInfinity;
        double work = double.PositiveInfinity;
        PlanningResult? plan = null;
        // The first run compiles; others on this machine disturb: best of three.
        for (int round = 0; round < (run.Quick ? 1 : 3); round++)
        {
            TimeSpan before = Process.GetCurrentProcess().TotalProcessorTime;
            Stopwatch watch = Stopwatch.StartNew();
            plan = PlanningStage.Run(
                input,
                new PlanningSettings
                {
                    LineOfSightMetres = 1000,
                    Date = new DateOnly(2026, 4, 12),
                    Threads = 2,
                }
            );
            run.Say(FormattableString.Invariant($"  {watch.Elapsed.TotalSeconds:F2} s"));
            best = Math.Min(best, watch.Elapsed.TotalSeconds);
            work = Math.Min(work, (Process.GetCurrentProcess().TotalProcessorTime - before).TotalSeconds);
        }

        string how = FormattableString.Invariant(
            $"{hectares:F0} ha, {BlockCount} blocks each with a hole, {plan!.Sorties.Count} sorties, {plan.CaptureCount} captures, {plan.Sorties.Sum(sortie => sortie.LengthMetres) / 1000:F0} km, light of a day, coverage; best of three, two threads (machine-dependent)"
        );
        yield return new Figure("speed.secondsFor200Hectares", best, how);
        // Told beside: on a machine that others use, the clock measures them too.
        yield return new Figure("speed.processorSecondsFor200Hectares", work, how);
        yield return new Figure(
            "speed.peakGiB",
            Process.GetCurrentProcess().PeakWorkingSet64 / (double)(1 << 30),
            $"peak of the whole process; {how}"
        );
    }

    private static PlanningInput Estate()
    {
        SplittableRandom random = new(7);
        HeightField ground = PlanScene.Ground(
            1400,
            12,
            (east, north) =>
                (0.22 * north)
                + (25 * Math.Sin(east / 260) * Math.Cos(north / 310))
                + (8 * Math.Sin((east + north) / 90))
        );
        List<PlanBlock> blocks = [];
        List<PlanPoint> homes = [];
        for (int row = 0; row < 4; row++)
        {
            for (int column = 0; column < 5; column++)
            {
                double west = -925 + (column * 370) + random.NextDouble(-8, 8);
                double south = -740 + (row * 370) + random.NextDouble(-8, 8);
                PlanPolygon outer = PlanScene.Rectangle(west, south, 320, 318);
                PlanPolygon hole = PlanScene.Rectangle(west + 120, south + 110, 45, 50);
                blocks.Add(new PlanBlock($"B{blocks.Count + 1}", [new PlanPolygon(outer.Outer, [hole.Outer])], 2.5));
                homes.Add(new PlanPoint(west + 160, south - 20));
            }
        }

        return PlanScene.Input(ground, 9.7, [], [.. homes]) with
        {
            Blocks = blocks,
        };
    }
}
