using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Reconstruction;

/// <summary>Where a tie point falls in a frame, less where it was seen; in standard errors of the sight.</summary>
internal sealed class ReprojectionResiduals : ResidualGroup
{
    private readonly Lens prototype;
    private readonly int lensBlock;
    private readonly int[] poseBlock;
    private readonly int[] point;
    private readonly PixelPoint[] seen;
    private readonly double[] weight;

    /// <param name="lens">Model of the lens; its numbers are in the lens block.</param>
    /// <param name="lensBlock">Shared block of the lens's parameters.</param>
    /// <param name="poseBlock">Pose block of each sight.</param>
    /// <param name="point">Point of each sight.</param>
    /// <param name="seen">Pixel of each sight.</param>
    /// <param name="sigmaPixels">Standard error of each sight.</param>
    /// <param name="loss">On the squared residual.</param>
    public ReprojectionResiduals(
        Lens lens,
        int lensBlock,
        int[] poseBlock,
        int[] point,
        PixelPoint[] seen,
        double[] sigmaPixels,
        RobustLoss loss
    )
        : base(point.Length, 2, [PoseBlock.StepSize, lens.Parameters.Count], usesPoint: true, loss)
    {
        prototype = lens;
        this.lensBlock = lensBlock;
        this.poseBlock = poseBlock;
        this.point = point;
        this.seen = seen;
        weight = [.. sigmaPixels.Select(sigma => 1 / sigma)];
    }

    public override int SharedBlock(int residual, int slot) => slot == 0 ? poseBlock[residual] : lensBlock;

    public override int Point(int residual) => point[residual];

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
            // A step that folds the picture is no place to be: the solver takes a shorter one.
            return false;
        }

        int count = lens.Parameters.Count;
        int width = PoseBlock.StepSize + count + 3;
        bool wanted = !jacobians.IsEmpty;
        Span<double> byPoint = stackalloc double[6];
        Span<double> byLens = stackalloc double[2 * count];
        for (int place = 0; place < which.Length; place++)
        {
            int index = which[place];
            ReadOnlySpan<double> pose = parameters.Shared(poseBlock[index]);
            ReadOnlySpan<double> x = parameters.Point(point[index]);
            Matrix3D rotation = PoseBlock.Rotation(pose);
            Vector3D inCamera = rotation * (new Vector3D(x[0], x[1], x[2]) - PoseBlock.Centre(pose));
            PixelPoint pixel;
            if (wanted ? !lens.TryProject(inCamera, out pixel, byPoint, byLens) : !lens.TryProject(inCamera, out pixel))
            {
                return false;
            }

            double w = weight[index];
            residuals[2 * place] = w * (pixel.Column - seen[index].Column);
            residuals[(2 * place) + 1] = w * (pixel.Row - seen[index].Row);
            if (!wanted)
            {
                continue;
            }

            for (int axis = 0; axis < 2; axis++)
            {
                Span<double> row = jacobians.Slice(((2 * place) + axis) * width, width);
                Vector3D g = w * new Vector3D(byPoint[3 * axis], byPoint[(3 * axis) + 1], byPoint[(3 * axis) + 2]);
                Vector3D turn = Vector3D.Cross(inCamera, g);
                Vector3D shift = rotation.Transposed() * g;
                (row[0], row[1], row[2]) = (turn.X, turn.Y, turn.Z);
                (row[3], row[4], row[5]) = (-shift.X, -shift.Y, -shift.Z);
                for (int k = 0; k < count; k++)
                {
                    row[6 + k] = w * byLens[(axis * count) + k];
                }

                (row[6 + count], row[7 + count], row[8 + count]) = (shift.X, shift.Y, shift.Z);
            }
        }

        return true;
    }
}
