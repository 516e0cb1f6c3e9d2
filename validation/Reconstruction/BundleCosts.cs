using Hillrow.Numerics.LeastSquares;
using Hillrow.Numerics.Tests.BundleAdjustment;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Reconstruction;

/// <summary>The solver that the adjustment uses, on the bundle-adjustment check values.</summary>
public sealed class BundleCosts : FigureSource
{
    public override string Area => "reconstruction";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        List<double> ratios = [];
        foreach (BalRun entry in BalRun.All())
        {
            using BlockSolver solver = new(entry.Problem.ToBlockProblem(entry.Loss), BalRun.Settings);
            ratios.Add(solver.Solve().CostAfter / entry.FinalCost);
        }

        yield return new Figure(
            "bundle.worstCostRatio",
            ratios.Count > 0 ? ratios.Max() : double.NaN,
            $"our final cost over the reference's, worst of {ratios.Count} runs; tests/Reference/bundle-adjustment"
        );
        if (RepositoryFiles.OpenData("lsq-nist-and-ba", "problem-16-22106-pre.txt") is { } file)
        {
            using BlockSolver solver = new(
                BalProblem.Read(file).ToBlockProblem(RobustLoss.Trivial),
                new BlockSolverSettings { MaximumSteps = 500, CostTolerance = 1e-9 }
            );
            BlockSolverSummary summary = solver.Solve();
            yield return new Figure(
                "bundle.costOf16Cameras22106Points",
                summary.CostAfter,
                $"../shared/opendata/lsq-nist-and-ba: half the sum of squares from {summary.CostBefore:F3}, {summary.StepsTried} steps"
            );
        }
    }
}
