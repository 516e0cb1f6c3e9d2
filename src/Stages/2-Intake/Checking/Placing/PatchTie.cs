using Hillrow.Numerics;
using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Intake;

/// <summary>One patch of ground seen from two captures.</summary>
/// <param name="First">Capture, by place in the list.</param>
/// <param name="Second">The other.</param>
/// <param name="FirstSight">Where the first saw it: camera frame, x/z and y/z.</param>
/// <param name="SecondSight">The same of the second.</param>
/// <param name="StartLocalMetres">Where it lies by the recorded poses.</param>
internal readonly record struct PatchTie(
    int First,
    int Second,
    (double X, double Y) FirstSight,
    (double X, double Y) SecondSight,
    Vector3D StartLocalMetres
);

/// <summary>
/// What both captures of every tie see of its point, in standard errors. A capture's block is its correction: 3 of its
/// place (local metres), 3 of its turn (rotation vector in the camera frame, radians).
/// </summary>
internal sealed class TieResiduals(
    IReadOnlyList<PatchTie> ties,
    IReadOnlyList<Vector3D> centres,
    IReadOnlyList<Matrix3D> rotations,
    IReadOnlyList<int> blocks,
    double sightSigma
) : ResidualGroup(2 * ties.Count, 2, [CorrectionSize], usesPoint: true, RobustLoss.Cauchy(LossScale))
{
    public const int CorrectionSize = 6;

    /// <summary>In standard errors: patches on crowns that lean differently from two sides count less.</summary>
    private const double LossScale = 2;

    public override int SharedBlock(int residual, int slot) => blocks[CaptureOf(residual)];

    public override int Point(int residual) => residual / 2;

    public override bool Evaluate(
        ReadOnlySpan<int> which,
        ParameterValues parameters,
        Span<double> residuals,
        Span<double> jacobians
    )
    {
        const int Width = CorrectionSize + 3;
        for (int place = 0; place < which.Length; place++)
        {
            int capture = CaptureOf(which[place]);
            PatchTie tie = ties[which[place] / 2];
            (double seenX, double seenY) = which[place] % 2 == 0 ? tie.FirstSight : tie.SecondSight;
            ReadOnlySpan<double> point = parameters.Point(which[place] / 2);
            ReadOnlySpan<double> correction = parameters.Shared(blocks[capture]);
            Matrix3D turn =
                Matrix3D.FromRotationVector(new Vector3D(correction[3], correction[4], correction[5]))
                * rotations[capture];
            Vector3D from =
                new Vector3D(point[0], point[1], point[2])
                - centres[capture]
                - new Vector3D(correction[0], correction[1], correction[2]);
            Vector3D seen = turn * from;
            if (!(seen.Z > 0.1))
            {
                return false;
            }

            double x = seen.X / seen.Z;
            double y = seen.Y / seen.Z;
            residuals[2 * place] = (x - seenX) / sightSigma;
            residuals[(2 * place) + 1] = (y - seenY) / sightSigma;
            if (jacobians.IsEmpty)
            {
                continue;
            }

            // ∂x and ∂y by the point in the camera frame.
            Vector3D byX = new Vector3D(1, 0, -x) / (seen.Z * sightSigma);
            Vector3D byY = new Vector3D(0, 1, -y) / (seen.Z * sightSigma);
            Fill(jacobians.Slice(2 * place * Width, Width), byX, seen, turn);
            Fill(jacobians.Slice(((2 * place) + 1) * Width, Width), byY, seen, turn);
        }

        return true;
    }

    /// <remarks>The turn's derivative is that of a small turn on top of the present one: corrections are a few degrees.</remarks>
    private static void Fill(Span<double> row, Vector3D bySeen, Vector3D seen, Matrix3D turn)
    {
        Vector3D byPoint = turn.Transposed() * bySeen;
        Vector3D byTurn = Vector3D.Cross(seen, bySeen);
        row[0] = -byPoint.X;
        row[1] = -byPoint.Y;
        row[2] = -byPoint.Z;
        row[3] = byTurn.X;
        row[4] = byTurn.Y;
        row[5] = byTurn.Z;
        row[6] = byPoint.X;
        row[7] = byPoint.Y;
        row[8] = byPoint.Z;
    }

    private int CaptureOf(int residual) => residual % 2 == 0 ? ties[residual / 2].First : ties[residual / 2].Second;
}
