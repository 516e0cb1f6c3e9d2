using Hillrow.Numerics;
using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Imaging;

/// <summary>Corners of one board in several pictures of one lens, as residuals in pixels.</summary>
/// <remarks>
/// Blocks: a pose for each picture (centre, then the rotation row by row; a step turns the camera's frame, then shifts the
/// centre), last the lens (<see cref="LensOf"/>).
/// </remarks>
internal sealed class BoardSights(
    int rows,
    int columns,
    IReadOnlyList<Vector3D> corners,
    IReadOnlyList<IReadOnlyList<PixelPoint>> pictures
) : ResidualGroup(corners.Count * pictures.Count, 2, [PoseStep, LensUnknowns], usesPoint: false, RobustLoss.Trivial)
{
    public const int PoseStep = 6;

    /// <summary>Focal length, principal column and row, k1, k2, p1, p2, k3: square pixels.</summary>
    public const int LensUnknowns = 8;

    public override int SharedBlock(int residual, int slot) => slot == 0 ? residual / corners.Count : pictures.Count;

    public override int Point(int residual) => throw new InvalidOperationException("Corners of a board are known.");

    /// <exception cref="ArgumentException">The values fold the picture inside its frame.</exception>
    public static BrownConradyLens LensOf(int rows, int columns, ReadOnlySpan<double> unknowns) =>
        new(
            rows,
            columns,
            new BrownConradyValues(
                unknowns[0],
                unknowns[0],
                new PixelPoint(unknowns[1], unknowns[2]),
                unknowns[3],
                unknowns[4],
                unknowns[5],
                unknowns[6],
                unknowns[7]
            )
        );

    public static double[] ValuesOf(CameraPose pose)
    {
        (Vector3D c, Matrix3D r) = (pose.CentreLocalMetres, pose.LocalToCamera);
        return [c.X, c.Y, c.Z, r.M11, r.M12, r.M13, r.M21, r.M22, r.M23, r.M31, r.M32, r.M33];
    }

    public static CameraPose PoseOf(ReadOnlySpan<double> v) =>
        new(new Vector3D(v[0], v[1], v[2]), new Matrix3D(v[3], v[4], v[5], v[6], v[7], v[8], v[9], v[10], v[11]));

    public static void Move(ReadOnlySpan<double> current, ReadOnlySpan<double> step, Span<double> updated)
    {
        CameraPose pose = PoseOf(current);
        ValuesOf(
                new CameraPose(
                    pose.CentreLocalMetres + new Vector3D(step[3], step[4], step[5]),
                    Matrix3D.FromRotationVector(new Vector3D(step[0], step[1], step[2])) * pose.LocalToCamera
                )
            )
            .CopyTo(updated);
    }

    public override bool Evaluate(
        ReadOnlySpan<int> which,
        ParameterValues parameters,
        Span<double> residuals,
        Span<double> jacobians
    )
    {
        BrownConradyLens lens;
        try
        {
            lens = LensOf(rows, columns, parameters.Shared(pictures.Count));
        }
        catch (ArgumentException)
        {
            return false; // a step too far: the lens would fold its own picture
        }

        Span<double> byPoint = stackalloc double[6];
        Span<double> byLens = stackalloc double[2 * 9];
        for (int at = 0; at < which.Length; at++)
        {
            (int picture, int corner) = Math.DivRem(which[at], corners.Count);
            CameraPose pose = PoseOf(parameters.Shared(picture));
            Vector3D inCamera = pose.ToCamera(corners[corner]);
            if (!lens.TryProject(inCamera, out PixelPoint pixel, byPoint, byLens))
            {
                return false;
            }

            residuals[2 * at] = pixel.Column - pictures[picture][corner].Column;
            residuals[(2 * at) + 1] = pixel.Row - pictures[picture][corner].Row;
            if (jacobians.IsEmpty)
            {
                continue;
            }

            Matrix3D toBoard = pose.LocalToCamera.Transposed();
            for (int side = 0; side < 2; side++)
            {
                Span<double> row = jacobians.Slice(
                    ((2 * at) + side) * (PoseStep + LensUnknowns),
                    PoseStep + LensUnknowns
                );
                Vector3D slope = new(byPoint[3 * side], byPoint[(3 * side) + 1], byPoint[(3 * side) + 2]);
                Vector3D byTurn = Vector3D.Cross(inCamera, slope);
                Vector3D byCentre = -(toBoard * slope);
                (row[0], row[1], row[2]) = (byTurn.X, byTurn.Y, byTurn.Z);
                (row[3], row[4], row[5]) = (byCentre.X, byCentre.Y, byCentre.Z);

                // One focal length serves columns and rows.
                Span<double> own = byLens.Slice(9 * side, 9);
                row[PoseStep] = own[0] + own[1];
                own[2..].CopyTo(row[(PoseStep + 1)..]);
            }
        }

        return true;
    }

    /// <summary>Sum of squared distances in pixels, over all and in each picture; every corner must be in front.</summary>
    public (double All, double[] Each) SquaresOf(Lens lens, Func<int, CameraPose> poseOf)
    {
        double[] each = new double[pictures.Count];
        for (int picture = 0; picture < each.Length; picture++)
        {
            CameraPose pose = poseOf(picture);
            for (int corner = 0; corner < corners.Count; corner++)
            {
                _ = lens.TryProject(pose.ToCamera(corners[corner]), out PixelPoint pixel);
                double column = pixel.Column - pictures[picture][corner].Column;
                double row = pixel.Row - pictures[picture][corner].Row;
                each[picture] += (column * column) + (row * row);
            }
        }

        return (each.Sum(), each);
    }
}
