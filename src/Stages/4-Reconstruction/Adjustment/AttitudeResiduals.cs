using Hillrow.Numerics;
using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Reconstruction;

/// <summary>
/// Turn from the recorded to the solved attitude, less the sortie's common turn of camera against attitude sensor; in
/// standard errors, about the camera's axes.
/// </summary>
internal sealed class AttitudeResiduals : ResidualGroup
{
    private const int TurnSize = 3;

    private readonly IReadOnlyList<CapturePrior> priors;
    private readonly int[] capture;
    private readonly int[] poseBlock;
    private readonly int[] turnBlock;

    /// <param name="priors">Of all captures.</param>
    /// <param name="capture">Captures that take part.</param>
    /// <param name="poseBlock">Pose block of each capture.</param>
    /// <param name="turnBlock">Block of each sortie's common turn, a rotation vector in radians.</param>
    /// <param name="loss">Attitudes can be wildly wrong.</param>
    public AttitudeResiduals(
        IReadOnlyList<CapturePrior> priors,
        int[] capture,
        int[] poseBlock,
        int[] turnBlock,
        RobustLoss loss
    )
        : base(capture.Length, 3, [PoseBlock.StepSize, TurnSize], usesPoint: false, loss)
    {
        this.priors = priors;
        this.capture = capture;
        this.poseBlock = poseBlock;
        this.turnBlock = turnBlock;
    }

    public override int SharedBlock(int residual, int slot) =>
        slot == 0 ? poseBlock[capture[residual]] : turnBlock[priors[capture[residual]].Sortie];

    public override int Point(int residual) => -1;

    public override bool Evaluate(
        ReadOnlySpan<int> which,
        ParameterValues parameters,
        Span<double> residuals,
        Span<double> jacobians
    )
    {
        const int Width = PoseBlock.StepSize + TurnSize;
        jacobians.Clear();
        for (int place = 0; place < which.Length; place++)
        {
            CapturePrior prior = priors[capture[which[place]]];
            ReadOnlySpan<double> common = parameters.Shared(SharedBlock(which[place], 1));
            Matrix3D rotation = PoseBlock.Rotation(parameters.Shared(SharedBlock(which[place], 0)));
            Vector3D turn = (rotation * prior.Pose.LocalToCamera.Transposed()).ToRotationVector();
            double weight = 1 / prior.RotationSigmaRadians;
            residuals[3 * place] = weight * (turn.X - common[0]);
            residuals[(3 * place) + 1] = weight * (turn.Y - common[1]);
            residuals[(3 * place) + 2] = weight * (turn.Z - common[2]);
            if (jacobians.IsEmpty)
            {
                continue;
            }

            // log(exp(w) R) ≈ log R + J⁻¹ w; to first order in the turn J⁻¹ = I − ½[turn]×, good to 1e-3 at 5°.
            Span<double> rows = jacobians.Slice(3 * place * Width, 3 * Width);
            (double x, double y, double z) = (turn.X / 2, turn.Y / 2, turn.Z / 2);
            ReadOnlySpan<double> inverse = [1, z, -y, -z, 1, x, y, -x, 1];
            for (int axis = 0; axis < 3; axis++)
            {
                for (int k = 0; k < 3; k++)
                {
                    rows[(axis * Width) + k] = weight * inverse[(3 * axis) + k];
                }

                rows[(axis * Width) + PoseBlock.StepSize + axis] = -weight;
            }
        }

        return true;
    }
}
