using Hillrow.Checks;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Planning;
using Hillrow.Sight;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Planning;

/// <summary>
/// Plans made on 30 m posts with σ 9.7 m, judged on the true ground plus canopy: worst of five seeds, one drawn at the run.
/// </summary>
public sealed class SteepGroundFigures : FigureSource
{
    private const double SigmaMetres = 9.7;
    private const double HalfMetres = 520;
    private const double CanopyMetres = 3;

    public override string Area => "planning";

    public override int Order => 1;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        ulong[] seeds = run.Quick ? [1, run.DrawnSeed] : [1, 2, 3, 4, run.DrawnSeed];
        foreach (
            Figure figure in Judge(
                "steep",
                seeds,
                run,
                seed => TrueGround.Hillside(HalfMetres, CanopyMetres, new SplittableRandom(seed).Split("site")),
                "modelled hillsides of 15-40 %"
            )
        )
        {
            yield return figure;
        }

        if (RepositoryFiles.OpenData("steep-dem-andes", "ta.tif") is not { } file)
        {
            run.Say("  steep-dem-andes is not beside the project: andes.* cannot be measured");
            yield break;
        }

        AndesGround andes = AndesGround.Read(file);
        foreach (
            Figure figure in Judge(
                "andes",
                seeds,
                run,
                seed => andes.Site(HalfMetres, CanopyMetres, new SplittableRandom(seed).Split("andes")),
                "10 m posts of southern Ecuador taken as true (slopes to 60 % in the block's mean)"
            )
        )
        {
            yield return figure;
        }
    }

    private static IEnumerable<Figure> Judge(
        string name,
        ulong[] seeds,
        ValidationRun run,
        Func<ulong, TrueGround> ground,
        string what
    )
    {
        double overlap = 1;
        double clearance = 1;
        double least = double.PositiveInfinity;
        double toLevel = 0;
        double mostPerHectare = 0;
        foreach (ulong seed in seeds)
        {
            SplittableRandom random = new SplittableRandom(seed).Split(name);
            TrueGround site = ground(seed);
            PlanningInput input = Input(site, random);
            PlanningResult plan = PlanningStage.Run(
                input,
                new PlanningSettings { LineOfSightMetres = 1200, RefuseUnseen = false },
                new Progress<WorkProgress>(at => run.Say($"    {at.What}"))
            );
            SplittableRandom heights = random.Split("heights");
            double[] errors = [.. plan.Sorties.Select(_ => input.Aircraft.HeightSigmaMetres * heights.NextGaussian())];
            double share = PlainJudge.ShareAtOverlap(plan, site, errors, out int cells);
            (double kept, double nearest) = PlainJudge.Clearance(plan, site, errors);
            run.Say(
                FormattableString.Invariant(
                    $"  {name} seed {seed}: {cells} cells, {100 * share:F2} % at the overlap, {100 * kept:F3} % of the route at {plan.Settings.ClearanceMetres} m, nearest {nearest:F1} m, {plan.CaptureCount} captures, {plan.Sorties.Count} sorties, raised {plan.Coverage.RaisedShare:F3}"
                )
            );
            PlanningResult level = LevelTwin(input);
            toLevel = Math.Max(toLevel, (double)plan.CaptureCount / level.CaptureCount);
            mostPerHectare = Math.Max(mostPerHectare, plan.CapturesPerHectare);
            run.Say(
                FormattableString.Invariant(
                    $"    {plan.CapturesPerHectare:F0} captures a hectare; the same outline level and without errors {level.CapturesPerHectare:F0}; inside a wide level field {plan.LevelCapturesPerHectare:F0}"
                )
            );
            overlap = Math.Min(overlap, share);
            clearance = Math.Min(clearance, kept);
            least = Math.Min(least, nearest);
        }

        string how =
            $"worst of {seeds.Length} seeds (drawn: {run.DrawnSeed}), {what}, 30 m posts with sigma {SigmaMetres} m, block with a notch and a hole, 80/70 % at 5 cm, judged by a plain implementation";
        yield return new Figure($"{name}.shareOfCellsAtOverlap", overlap, how);
        yield return new Figure(
            $"{name}.shareOfRouteClear",
            clearance,
            FormattableString.Invariant($"{how}; nearest {least:F1} m, asked 15 m at 99.9 %")
        );
        yield return new Figure($"{name}.capturesPerHectare", mostPerHectare, $"{how}; most of the seeds");
        yield return new Figure(
            $"{name}.capturesToLevel",
            toLevel,
            $"{how}; captures over those of a plan of the same outline on level ground without crop or errors, most of the seeds"
        );
    }

    /// <summary>The flat-ground number: the same outline, homes, camera and overlap.</summary>
    private static PlanningResult LevelTwin(PlanningInput input)
    {
        const double None = 0.01;
        return PlanningStage.Run(
            input with
            {
                Terrain = PlanScene.Ground(HalfMetres + 40, 20, (_, _) => 0),
                TerrainSigmaMetres = None,
                Obstacles = [],
                Aircraft = input.Aircraft with { HeightSigmaMetres = None },
            },
            new PlanningSettings
            {
                LineOfSightMetres = 1200,
                RefuseUnseen = false,
                CanopyMetres = 0,
            }
        );
    }

    /// <summary>An L with a hole, about 9 ha, turned anyhow; a mast and a wire that the plan knows; homes around.</summary>
    private static PlanningInput Input(TrueGround site, SplittableRandom random)
    {
        SplittableRandom shape = random.Split("shape");
        double turn = shape.NextDouble(0, Math.Tau);
        double scale = shape.NextDouble(0.85, 1.15);
        PlanPoint At(double east, double north) =>
            new(
                scale * ((east * Math.Cos(turn)) - (north * Math.Sin(turn))),
                scale * ((east * Math.Sin(turn)) + (north * Math.Cos(turn)))
            );
        PlanPolygon block = new(
            [At(-190, -160), At(190, -160), At(190, 20), At(20, 20), At(20, 160), At(-190, 160)],
            [
                [At(-120, -60), At(-60, -60), At(-60, 0), At(-120, 0)],
            ]
        );
        float[] draft = site.Draft(30, SigmaMetres, random.Split("draft"), 10, out int size);
        HeightField terrain = new(-site.HalfMetres, -site.HalfMetres + ((size - 1) * 10), 10, size, size, draft);
        return PlanScene.Input(
            terrain,
            SigmaMetres,
            [block],
            At(0, 0),
            At(-200, -170),
            At(200, -170),
            At(200, 30),
            At(-200, 170)
        ) with
        {
            Obstacles =
            [
                new Obstacle("mast", ObstacleShape.Point, [At(100, 60)], 20),
                new Obstacle("wire", ObstacleShape.Line, [At(-230, -100), At(60, -230)], 12),
            ],
        };
    }
}
