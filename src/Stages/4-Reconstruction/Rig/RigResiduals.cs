using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Reconstruction;

/// <summary>Where a spot falls in a band's frame, less where it was found; pixels.</summary>
/// <remarks>Blocks: a small turn of the band against its nominal mount (rotation vector, radians), and the lens.</remarks>
internal sealed class RigResiduals : ResidualGroup
{
    private readonly IReadOnlyList<BandTie> ties;
    private readonly CameraMount mount;
    private readonly Lens prototype;
    private readonly int turnBlock;
    private readonly int lensBlock;

    public RigResiduals(
        IReadOnlyList<BandTie> ties,
        CameraMount mount,
        Lens lens,
        int turnBlock,
        int lensBlock,
        RobustLoss loss
    )
        : base(ties.Count, 2, [3, lens.Parameters.Count], usesPoint: false, loss)
    {
        this.ties = ties;
        this.mount = mount;
        prototype = lens;
        this.turnBlock = turnBlock;
        this.lensBlock = lensBlock;
    }

    public override int SharedBlock(int residual, int slot) => slot == 0 ? turnBlock : lensBlock;

    public override int Point(int residual) => -1;

    public override bool Evaluate(
        ReadOnlySpan<int> which,
        ParameterValues parameters,
        Span<double> residuals,
        Span<double> jacobians
    )
    {
        Lens lens;
        try
        {
            lens = prototype.WithParameters(parameters.Shared(lensBlock));
        }
        catch (ArgumentException)
        {
            return false;
        }

        ReadOnlySpan<double> turn = parameters.Shared(turnBlock);
        Matrix3D rotation =
            Matrix3D.FromRotationVector(new Vector3D(turn[0], turn[1], turn[2])) * mount.ReferenceToBand;
        int count = lens.Parameters.Count;
        int width = 3 + count;
        Span<double> byPoint = stackalloc double[6];
        Span<double> byLens = stackalloc double[2 * count];
        for (int place = 0; place < which.Length; place++)
        {
            BandTie tie = ties[which[place]];
            Vector3D inBand = rotation * (tie.InReferenceMetres - mount.LensInReferenceMetres);
            if (!lens.TryProject(inBand, out PixelPoint pixel, byPoint, byLens))
            {
                return false;
            }

            residuals[2 * place] = pixel.Column - tie.Seen.Column;
            residuals[(2 * place) + 1] = pixel.Row - tie.Seen.Row;
            if (jacobians.IsEmpty)
            {
                continue;
            }

            for (int axis = 0; axis < 2; axis++)
            {
                // Turns are below a degree: a step added to the vector is a turn from the left to 1 %.
                Span<double> row = jacobians.Slice(((2 * place) + axis) * width, width);
                Vector3D g = new(byPoint[3 * axis], byPoint[(3 * axis) + 1], byPoint[(3 * axis) + 2]);
                Vector3D by = Vector3D.Cross(inBand, g);
                (row[0], row[1], row[2]) = (by.X, by.Y, by.Z);
                byLens.Slice(axis * count, count).CopyTo(row[3..]);
            }
        }

        return true;
    }
}
