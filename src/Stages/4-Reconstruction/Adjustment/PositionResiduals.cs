using Hillrow.Numerics;
using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Reconstruction;

/// <summary>
/// Where the antenna stands, less where the receiver said and its wandering error; in standard errors of what changes
/// from capture to capture.
/// </summary>
internal sealed class PositionResiduals : ResidualGroup
{
    private readonly IReadOnlyList<CapturePrior> priors;
    private readonly int[] captures;
    private readonly int[] poseBlock;
    private readonly ReceiverDrift drift;
    private readonly int[] nodeBlock;
    private readonly (double Horizontal, double Vertical)[] jitter;
    private readonly Vector3D lever;

    /// <param name="priors">Of all captures.</param>
    /// <param name="captures">Those whose position counts.</param>
    /// <param name="poseBlock">Pose block of each capture.</param>
    /// <param name="drift">The wandering error.</param>
    /// <param name="nodeBlock">Blocks of its nodes.</param>
    /// <param name="jitterMetres">Standard error of each capture's position beside the drift.</param>
    /// <param name="antennaFromLens">Camera frame, metres.</param>
    /// <param name="loss">A wild position must not pull.</param>
    public PositionResiduals(
        IReadOnlyList<CapturePrior> priors,
        int[] captures,
        int[] poseBlock,
        ReceiverDrift drift,
        int[] nodeBlock,
        (double Horizontal, double Vertical)[] jitterMetres,
        Vector3D antennaFromLens,
        RobustLoss loss
    )
        : base(
            captures.Length,
            3,
            [PoseBlock.StepSize, ReceiverDrift.NodeSize, ReceiverDrift.NodeSize],
            usesPoint: false,
            loss
        )
    {
        this.priors = priors;
        this.captures = captures;
        this.poseBlock = poseBlock;
        this.drift = drift;
        this.nodeBlock = nodeBlock;
        jitter = jitterMetres;
        lever = antennaFromLens;
    }

    public override int SharedBlock(int residual, int slot)
    {
        if (slot == 0)
        {
            return poseBlock[captures[residual]];
        }

        (int before, int after, _) = drift.NodesOf(captures[residual]);
        return nodeBlock[slot == 1 ? before : after];
    }

    public override int Point(int residual) => -1;

    public override bool Evaluate(
        ReadOnlySpan<int> which,
        ParameterValues parameters,
        Span<double> residuals,
        Span<double> jacobians
    )
    {
        const int Width = PoseBlock.StepSize + (2 * ReceiverDrift.NodeSize);
        jacobians.Clear();
        for (int place = 0; place < which.Length; place++)
        {
            int capture = captures[which[place]];
            CapturePrior prior = priors[capture];
            (int first, int second, double share) = drift.NodesOf(capture);
            ReadOnlySpan<double> pose = parameters.Shared(poseBlock[capture]);
            ReadOnlySpan<double> before = parameters.Shared(nodeBlock[first]);
            ReadOnlySpan<double> after = parameters.Shared(nodeBlock[second]);
            Matrix3D back = PoseBlock.Rotation(pose).Transposed();
            Vector3D off = PoseBlock.Centre(pose) + (back * lever) - prior.AntennaLocalMetres;
            ReadOnlySpan<double> offs = [off.X, off.Y, off.Z];
            for (int axis = 0; axis < 3; axis++)
            {
                double weight = 1 / (axis < 2 ? jitter[capture].Horizontal : jitter[capture].Vertical);
                // What the receiver says is the antenna's place plus its error.
                residuals[(3 * place) + axis] =
                    weight * (offs[axis] + ((1 - share) * before[axis]) + (share * after[axis]));
                if (jacobians.IsEmpty)
                {
                    continue;
                }

                Span<double> row = jacobians.Slice(((3 * place) + axis) * Width, Width);
                Vector3D line = axis switch
                {
                    0 => back.Row1,
                    1 => back.Row2,
                    _ => back.Row3,
                };

                // Turning the camera by a small w moves Rᵀa by Rᵀ(a × w): row · (a × w) = (row × a) · w.
                Vector3D turn = weight * Vector3D.Cross(line, lever);
                (row[0], row[1], row[2]) = (turn.X, turn.Y, turn.Z);
                row[3 + axis] = weight;
                row[6 + axis] = weight * (1 - share);
                row[9 + axis] = weight * share;
            }
        }

        return true;
    }
}
