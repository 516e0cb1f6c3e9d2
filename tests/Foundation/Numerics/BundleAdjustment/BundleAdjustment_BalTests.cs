using Hillrow.Numerics.LeastSquares;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Numerics.Tests.BundleAdjustment;

/// <summary>The block solver against costs found by another solver (tests/Reference/bundle-adjustment/README.md).</summary>
public sealed class BundleAdjustment_BalTests
{
    /// <summary>The issue's own bound: within 0.1 % of the reference minimum.</summary>
    private const double WorstCostRatio = 1.001;

    [Fact]
    public void Solve_SmallReferenceRuns_ReachTheirCost() => Check(run => run.Problem.CameraCount <= 20);

    [Fact]
    [Trait("Pace", "long")]
    public void Solve_LargerReferenceRuns_ReachTheirCost() => Check(run => run.Problem.CameraCount > 20);

    [Fact]
    [Trait("Pace", "long")]
    public void Solve_PublishedProblem16_ReachesThePublishedCost()
    {
        string? path = RepositoryFiles.OpenData("lsq-nist-and-ba", "problem-16-22106-pre.txt");
        Assert.SkipWhen(path is null, "The open data (lsq-nist-and-ba) is not on this machine.");
        using BlockSolver solver = new(
            BalProblem.Read(path!).ToBlockProblem(RobustLoss.Trivial),
            new BlockSolverSettings { CostTolerance = 1e-8, Threads = 2 }
        );
        BlockSolverSummary summary = solver.Solve();
        Assert.Equal(4.185660e6, summary.CostBefore, 1.0);
        Assert.True(summary.CostAfter <= 1.803391e4, $"cost {summary.CostAfter:R}");
    }

    private static void Check(Func<BalRun, bool> wanted)
    {
        CheckTally tally = new();
        foreach (BalRun run in BalRun.All().Where(wanted))
        {
            using BlockSolver solver = new(run.Problem.ToBlockProblem(run.Loss), BalRun.Settings);
            BlockSolverSummary summary = solver.Solve();
            tally.Compare(run.Id, "initial cost", summary.CostBefore, run.InitialCost, 0, 1e-9);
            tally.IsTrue(
                run.Id,
                $"cost {summary.CostAfter} of {run.FinalCost}",
                summary.CostAfter <= WorstCostRatio * run.FinalCost
            );
        }

        Assert.True(tally.CaseCount > 0 && tally.Failures.Count == 0, tally.Report());
    }
}
