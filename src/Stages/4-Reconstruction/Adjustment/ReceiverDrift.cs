using Hillrow.Numerics;
using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Reconstruction;

/// <summary>
/// The wandering part of a receiver's error: nodes in time along each sortie, linear between, each drawn towards the
/// one before it as a first-order Gauss–Markov process of the stated sigma.
/// </summary>
/// <remarks>
/// Errors of a satellite receiver change over minutes, not from capture to capture. Taken as independent they bend and
/// stretch a survey; taken as drift, what two neighbouring captures tell of their distance counts in full. Process:
/// A. Gelb (ed.) 1974, Applied Optimal Estimation, sec. 3.6 (from memory).
/// </remarks>
internal sealed class ReceiverDrift
{
    public const int NodeSize = 3;

    /// <summary>Between nodes: what drifts within it and is not linear stays below a tenth of the whole error.</summary>
    private const double NodeSeconds = 15;

    /// <summary>After this time an error is as good as a new one, single-frequency receivers, common practice.</summary>
    private const double CorrelationSeconds = 300;

    private readonly IReadOnlyList<CapturePrior> priors;
    private readonly int[] firstNode;
    private readonly int[] nodeCount;
    private readonly (double Horizontal, double Vertical)[] sigma;
    private readonly double[] values;

    public ReceiverDrift(SurveyPriors survey)
    {
        priors = survey.Captures;
        firstNode = new int[survey.SortieCount];
        nodeCount = new int[survey.SortieCount];
        sigma = new (double, double)[survey.SortieCount];
        int nodes = 0;
        for (int sortie = 0; sortie < survey.SortieCount; sortie++)
        {
            CapturePrior[] own = [.. priors.Where(prior => prior.Sortie == sortie)];
            CapturePrior[] positioned = [.. own.Where(prior => prior.HasPosition)];
            double last = own.Max(prior => prior.Seconds);
            nodeCount[sortie] = 2 + (int)Math.Clamp(last / NodeSeconds, 0, 10_000);
            firstNode[sortie] = nodes;
            nodes += nodeCount[sortie];
            CapturePrior[] tells = positioned.Length > 0 ? positioned : own;
            sigma[sortie] = (
                Median(tells.Select(prior => prior.HorizontalSigmaMetres)),
                Median(tells.Select(prior => prior.VerticalSigmaMetres))
            );
        }

        values = new double[NodeSize * nodes];
    }

    /// <summary>Error of the recorded position of a capture, as solved.</summary>
    public Vector3D At(int capture)
    {
        (int before, int after, double share) = NodesOf(capture);
        return ((1 - share) * Node(before)) + (share * Node(after));
    }

    /// <summary>The nodes on both sides of a capture, and how far it is from the first to the second.</summary>
    public (int Before, int After, double Share) NodesOf(int capture)
    {
        CapturePrior prior = priors[capture];
        double at = Math.Clamp(prior.Seconds / NodeSeconds, 0, nodeCount[prior.Sortie] - 1.0);
        int before = Math.Min((int)at, nodeCount[prior.Sortie] - 2);
        int node = firstNode[prior.Sortie] + before;
        return (node, node + 1, at - before);
    }

    /// <summary>Adds the nodes with their expectations.</summary>
    /// <param name="problem">Of the adjustment.</param>
    /// <param name="share">Of the stated error that drifts.</param>
    /// <returns>Shared block of each node.</returns>
    public int[] AddTo(BlockProblem problem, (double Horizontal, double Vertical) share)
    {
        int[] blocks = new int[values.Length / NodeSize];
        for (int node = 0; node < blocks.Length; node++)
        {
            blocks[node] = problem.AddSharedBlock(values.AsSpan(NodeSize * node, NodeSize));
        }

        for (int sortie = 0; sortie < firstNode.Length; sortie++)
        {
            double h = share.Horizontal * sigma[sortie].Horizontal;
            double v = share.Vertical * sigma[sortie].Vertical;
            problem.AddResiduals(ExpectedValues.Of(blocks[firstNode[sortie]], new double[NodeSize], [h, h, v]));
            problem.AddResiduals(
                new DriftLinks(
                    blocks.AsSpan(firstNode[sortie], nodeCount[sortie]).ToArray(),
                    Math.Exp(-NodeSeconds / CorrelationSeconds),
                    h,
                    v
                )
            );
        }

        return blocks;
    }

    public void Take(BlockProblem problem, int[] blocks)
    {
        for (int node = 0; node < blocks.Length; node++)
        {
            problem.SharedValues(blocks[node]).CopyTo(values.AsSpan(NodeSize * node, NodeSize));
        }
    }

    private Vector3D Node(int node) =>
        new(values[NodeSize * node], values[(NodeSize * node) + 1], values[(NodeSize * node) + 2]);

    private static double Median(IEnumerable<double> numbers)
    {
        double[] sorted = [.. numbers.Order()];
        return sorted[sorted.Length / 2];
    }

    /// <summary>Each node less the share of the one before that is left; in standard errors.</summary>
    private sealed class DriftLinks : ResidualGroup
    {
        private readonly int[] blocks;
        private readonly double keep;
        private readonly double[] weight;

        public DriftLinks(int[] blocks, double keep, double horizontalSigma, double verticalSigma)
            : base(blocks.Length - 1, NodeSize, [NodeSize, NodeSize], usesPoint: false, RobustLoss.Trivial)
        {
            this.blocks = blocks;
            this.keep = keep;
            double fresh = Math.Sqrt(1 - (keep * keep));
            weight = [1 / (horizontalSigma * fresh), 1 / (horizontalSigma * fresh), 1 / (verticalSigma * fresh)];
        }

        public override int SharedBlock(int residual, int slot) => blocks[residual + slot];

        public override int Point(int residual) => -1;

        public override bool Evaluate(
            ReadOnlySpan<int> which,
            ParameterValues parameters,
            Span<double> residuals,
            Span<double> jacobians
        )
        {
            const int Width = 2 * NodeSize;
            jacobians.Clear();
            for (int place = 0; place < which.Length; place++)
            {
                ReadOnlySpan<double> before = parameters.Shared(blocks[which[place]]);
                ReadOnlySpan<double> after = parameters.Shared(blocks[which[place] + 1]);
                for (int axis = 0; axis < NodeSize; axis++)
                {
                    int row = (NodeSize * place) + axis;
                    residuals[row] = weight[axis] * (after[axis] - (keep * before[axis]));
                    if (!jacobians.IsEmpty)
                    {
                        jacobians[(row * Width) + axis] = -weight[axis] * keep;
                        jacobians[(row * Width) + NodeSize + axis] = weight[axis];
                    }
                }
            }

            return true;
        }
    }
}
