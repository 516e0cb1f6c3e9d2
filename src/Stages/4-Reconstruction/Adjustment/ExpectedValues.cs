using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Reconstruction;

/// <summary>What one shared block is expected to be: weighted sums of its numbers with their standard errors.</summary>
internal sealed class ExpectedValues : ResidualGroup
{
    private readonly int block;
    private readonly double[] factors;
    private readonly double[] targets;

    /// <param name="block">The shared block; its step must be as long as its values.</param>
    /// <param name="size">Numbers in the block.</param>
    /// <param name="factors">Expectations × size, row-major, each row already divided by its sigma.</param>
    /// <param name="targets">Expected sums, already divided by their sigma.</param>
    private ExpectedValues(int block, int size, double[] factors, double[] targets)
        : base(1, targets.Length, [size], usesPoint: false, RobustLoss.Trivial)
    {
        this.block = block;
        this.factors = factors;
        this.targets = targets;
    }

    /// <summary>Each number by itself.</summary>
    public static ExpectedValues Of(int block, ReadOnlySpan<double> expected, ReadOnlySpan<double> sigmas)
    {
        int size = expected.Length;
        double[] rows = new double[size * size];
        double[] sums = new double[size];
        for (int at = 0; at < size; at++)
        {
            rows[(at * size) + at] = 1 / sigmas[at];
            sums[at] = expected[at] / sigmas[at];
        }

        return new ExpectedValues(block, size, rows, sums);
    }

    /// <summary>The same, and one more expectation: number a less number b.</summary>
    public ExpectedValues AndDifference(int a, int b, double expected, double sigma)
    {
        int size = SlotSizes[0];
        double[] row = new double[size];
        row[a] = 1 / sigma;
        row[b] = -1 / sigma;
        return new ExpectedValues(block, size, [.. factors, .. row], [.. targets, expected / sigma]);
    }

    public override int SharedBlock(int residual, int slot) => block;

    public override int Point(int residual) => -1;

    public override bool Evaluate(
        ReadOnlySpan<int> which,
        ParameterValues parameters,
        Span<double> residuals,
        Span<double> jacobians
    )
    {
        ReadOnlySpan<double> values = parameters.Shared(block);
        for (int row = 0; row < targets.Length; row++)
        {
            double sum = -targets[row];
            for (int k = 0; k < values.Length; k++)
            {
                sum += factors[(row * values.Length) + k] * values[k];
            }

            residuals[row] = sum;
        }

        if (!jacobians.IsEmpty)
        {
            factors.CopyTo(jacobians);
        }

        return true;
    }
}
