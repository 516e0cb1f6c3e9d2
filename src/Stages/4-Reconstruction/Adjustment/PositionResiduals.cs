using Hillrow.Numerics;
using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Reconstruction;

/// <summary>
/// Where the antenna stands, less where the receiver said, less the sortie's common offset and drift; in standard errors.
/// </summary>
/// <remarks>A sortie's block: offset east, north, up (metres), then drift of each (metres per 1000 s).</remarks>
internal sealed class PositionResiduals : ResidualGroup
{
    public const int SortieStepSize = 6;

    private const double DriftSeconds = 1000;

    private readonly IReadOnlyList<CapturePrior> priors;
    private readonly int[] capture;
    private readonly int[] poseBlock;
    private readonly int[] sortieBlock;
    private readonly Vector3D lever;

    /// <param name="priors">Of all captures.</param>
    /// <param name="capture">Captures that take part.</param>
    /// <param name="poseBlock">Pose block of each capture.</param>
    /// <param name="sortieBlock">Block of each sortie.</param>
    /// <param name="antennaFromLens">Camera frame, metres.</param>
    /// <param name="loss">A wild position must not pull.</param>
    public PositionResiduals(
        IReadOnlyList<CapturePrior> priors,
        int[] capture,
        int[] poseBlock,
        int[] sortieBlock,
        Vector3D antennaFromLens,
        RobustLoss loss
    )
        : base(capture.Length, 3, [PoseBlock.StepSize, SortieStepSize], usesPoint: false, loss)
    {
        this.priors = priors;
        this.capture = capture;
        this.poseBlock = poseBlock;
        this.sortieBlock = sortieBlock;
        lever = antennaFromLens;
    }

    public override int SharedBlock(int residual, int slot) =>
        slot == 0 ? poseBlock[capture[residual]] : sortieBlock[priors[capture[residual]].Sortie];

    public override int Point(int residual) => -1;

    public override bool Evaluate(
        ReadOnlySpan<int> which,
        ParameterValues parameters,
        Span<double> residuals,
        Span<double> jacobians
    )
    {
        const int Width = PoseBlock.StepSize + SortieStepSize;
        jacobians.Clear();
        for (int place = 0; place < which.Length; place++)
        {
            CapturePrior prior = priors[capture[which[place]]];
            ReadOnlySpan<double> pose = parameters.Shared(SharedBlock(which[place], 0));
            ReadOnlySpan<double> sortie = parameters.Shared(SharedBlock(which[place], 1));
            Matrix3D back = PoseBlock.Rotation(pose).Transposed();
            double time = prior.Seconds / DriftSeconds;
            Vector3D antenna = PoseBlock.Centre(pose) + (back * lever);
            Vector3D told =
                prior.AntennaLocalMetres
                + new Vector3D(
                    sortie[0] + (time * sortie[3]),
                    sortie[1] + (time * sortie[4]),
                    sortie[2] + (time * sortie[5])
                );
            Vector3D off = antenna - told;
            ReadOnlySpan<double> offs = [off.X, off.Y, off.Z];
            ReadOnlySpan<double> weights =
            [
                1 / prior.HorizontalSigmaMetres,
                1 / prior.HorizontalSigmaMetres,
                1 / prior.VerticalSigmaMetres,
            ];
            for (int axis = 0; axis < 3; axis++)
            {
                residuals[(3 * place) + axis] = weights[axis] * offs[axis];
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
                Vector3D turn = weights[axis] * Vector3D.Cross(line, lever);
                (row[0], row[1], row[2]) = (turn.X, turn.Y, turn.Z);
                row[3 + axis] = weights[axis];
                row[6 + axis] = -weights[axis];
                row[9 + axis] = -weights[axis] * time;
            }
        }

        return true;
    }
}
