using Hillrow.Numerics.LeastSquares;
using Hillrow.Numerics.Tests.BundleAdjustment;

namespace Hillrow.Validation.Ground;

/// <summary>The block-sparse solver on the bundle-adjustment check values.</summary>
public sealed class SolverCosts : FigureSource
{
    public override string Area => "ground";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        double worst = 0;
        string worstRun = "none";
        int count = 0;
        foreach (BalRun entry in BalRun.All())
        {
            using BlockSolver solver = new(entry.Problem.ToBlockProblem(entry.Loss), BalRun.Settings);
            BlockSolverSummary summary = solver.Solve();
            double ratio = summary.CostAfter / entry.FinalCost;
            run.Say(FormattableString.Invariant($"{entry.Id}: cost ratio {ratio:F7} in {summary.StepsTried} steps"));
            count++;
            if (!(ratio <= worst))
            {
                worst = ratio;
                worstRun = entry.Id;
            }
        }

        yield return new Figure(
            "solver.worstCostRatio",
            count > 0 ? worst : double.NaN,
            $"our final cost over the reference's, worst of {count} runs ({worstRun}); tests/Reference/bundle-adjustment"
        );
    }
}
