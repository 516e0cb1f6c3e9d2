using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Numerics.Linear;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>
/// How firmly a capture's own ties hold the ground that it shows, beside all that captures share (receiver, control).
/// </summary>
/// <remarks>
/// The standard error of a pose does not tell it: turn and shift of a capture that is tied in one corner are loose by
/// themselves and yet fix the ground near that corner; and the error that all captures share drowns what is its own.
/// Here the other captures are taken as they stand: a sight tells as much as its own noise and the place that the others
/// give its spot allow (one other capture leaves the spot free along its line), and the pose's covariance is carried to
/// the pixels. Of the linear theory of least squares; Triggs et al. 2000, sec. 9.
/// </remarks>
internal static class CaptureHold
{
    /// <summary>Along a line of sight, what nothing tells: metres.</summary>
    private const double FreeMetres = 10;

    private const int PointSize = 3;

    /// <summary>Standard error (both directions together) of the ground in the middle of each frame, pixels; infinite without sights.</summary>
    /// <param name="frames">Of all captures.</param>
    /// <param name="points">With the sights that count.</param>
    /// <param name="priors">What was recorded of each capture.</param>
    /// <param name="settings">Tell the standard error of sights.</param>
    public static double[] MiddlePixels(
        SightedFrame[] frames,
        IReadOnlyList<TiePoint> points,
        IReadOnlyList<CapturePrior> priors,
        ReconstructionSettings settings
    )
    {
        double[][] information = [.. priors.Select(Recorded)];
        double[] depth = new double[frames.Length];
        int[] sights = new int[frames.Length];
        Span<double> total = stackalloc double[9];
        Span<double> others = stackalloc double[9];
        Span<double> byPose = stackalloc double[2 * PoseBlock.StepSize];
        foreach (TiePoint point in points)
        {
            double[] rows = new double[6 * point.Sightings.Count];
            total.Clear();
            for (int at = 0; at < point.Sightings.Count; at++)
            {
                Rows(
                    frames[point.Sightings[at].Capture],
                    point.Place,
                    settings.SightSigmaPixels(point.Sightings[at].SizePixels),
                    default,
                    rows.AsSpan(6 * at, 6)
                );
                AddSquare(total, rows.AsSpan(6 * at, 6), 1);
            }

            for (int at = 0; at < point.Sightings.Count; at++)
            {
                int capture = point.Sightings[at].Capture;
                total.CopyTo(others);
                AddSquare(others, rows.AsSpan(6 * at, 6), -1);
                depth[capture] += Rows(
                    frames[capture],
                    point.Place,
                    settings.SightSigmaPixels(point.Sightings[at].SizePixels),
                    byPose,
                    rows.AsSpan(6 * at, 6)
                );
                sights[capture]++;
                AddSight(information[capture], byPose, rows.AsSpan(6 * at, 6), others);
            }
        }

        return
        [
            .. frames.Select(
                (frame, capture) =>
                    sights[capture] == 0
                        ? double.PositiveInfinity
                        : InMiddle(frame, depth[capture] / sights[capture], information[capture])
            ),
        ];
    }

    /// <summary>What position and attitude as recorded tell: enough that nothing is quite free.</summary>
    private static double[] Recorded(CapturePrior prior)
    {
        const int Size = PoseBlock.StepSize;
        double[] matrix = new double[Size * Size];
        for (int axis = 0; axis < 3; axis++)
        {
            double metres = axis < 2 ? prior.HorizontalSigmaMetres : prior.VerticalSigmaMetres;
            matrix[axis * (Size + 1)] = 1 / (prior.RotationSigmaRadians * prior.RotationSigmaRadians);
            matrix[(axis + 3) * (Size + 1)] = 1 / (metres * metres);
        }

        return matrix;
    }

    /// <summary>Derivatives of a sight, in its standard errors, by place (2 × 3) and, when asked for, by pose (2 × 6).</summary>
    /// <returns>Distance along the optical axis.</returns>
    private static double Rows(
        SightedFrame frame,
        Vector3D place,
        double sigmaPixels,
        Span<double> byPose,
        Span<double> byPlace
    )
    {
        Span<double> byPoint = stackalloc double[6];
        Span<double> byLens = stackalloc double[2 * frame.Lens.Parameters.Count];
        Vector3D inCamera = frame.Pose.ToCamera(place);
        byPlace.Clear();
        byPose.Clear();
        if (!frame.Lens.TryProject(inCamera, out _, byPoint, byLens))
        {
            return inCamera.Z;
        }

        Matrix3D back = frame.Pose.LocalToCamera.Transposed();
        for (int axis = 0; axis < 2; axis++)
        {
            Vector3D g =
                new Vector3D(byPoint[3 * axis], byPoint[(3 * axis) + 1], byPoint[(3 * axis) + 2]) / sigmaPixels;
            Vector3D shift = back * g;
            Put(byPlace[(3 * axis)..], shift);
            if (!byPose.IsEmpty)
            {
                Put(byPose[(PoseBlock.StepSize * axis)..], Vector3D.Cross(inCamera, g));
                Put(byPose[((PoseBlock.StepSize * axis) + 3)..], -1 * shift);
            }
        }

        return inCamera.Z;
    }

    private static void Put(Span<double> into, Vector3D value) =>
        (into[0], into[1], into[2]) = (value.X, value.Y, value.Z);

    private static void AddSquare(Span<double> matrix, ReadOnlySpan<double> rows, double sign)
    {
        for (int row = 0; row < PointSize; row++)
        {
            for (int column = 0; column < PointSize; column++)
            {
                matrix[(row * PointSize) + column] +=
                    sign * ((rows[row] * rows[column]) + (rows[row + 3] * rows[column + 3]));
            }
        }
    }

    /// <summary>Adds what one sight tells of the pose: J_poseᵀ (I + J_place P J_placeᵀ)⁻¹ J_pose, P from the others.</summary>
    private static void AddSight(
        double[] information,
        ReadOnlySpan<double> byPose,
        ReadOnlySpan<double> byPlace,
        Span<double> others
    )
    {
        Span<double> covariance = stackalloc double[9];
        for (int axis = 0; axis < PointSize; axis++)
        {
            others[axis * (PointSize + 1)] += 1 / (FreeMetres * FreeMetres);
        }

        if (!DenseCholesky.Factor(others, PointSize))
        {
            return;
        }

        DenseCholesky.Invert(others, PointSize, covariance);
        double aa = 1 + Form(covariance, byPlace[..3], byPlace[..3]);
        double ab = Form(covariance, byPlace[..3], byPlace[3..]);
        double bb = 1 + Form(covariance, byPlace[3..], byPlace[3..]);
        double determinant = (aa * bb) - (ab * ab);
        const int Size = PoseBlock.StepSize;
        for (int row = 0; row < Size; row++)
        {
            for (int column = 0; column < Size; column++)
            {
                (double a, double b) = (byPose[row], byPose[Size + row]);
                (double c, double d) = (byPose[column], byPose[Size + column]);
                information[(row * Size) + column] +=
                    ((bb * a * c) - (ab * ((a * d) + (b * c))) + (aa * b * d)) / determinant;
            }
        }
    }

    private static double Form(ReadOnlySpan<double> matrix, ReadOnlySpan<double> left, ReadOnlySpan<double> right)
    {
        double sum = 0;
        for (int row = 0; row < PointSize; row++)
        {
            for (int column = 0; column < PointSize; column++)
            {
                sum += left[row] * matrix[(row * PointSize) + column] * right[column];
            }
        }

        return sum;
    }

    private static double InMiddle(SightedFrame frame, double depth, double[] information)
    {
        const int Size = PoseBlock.StepSize;
        PixelPoint middle = new(frame.Lens.Columns / 2.0, frame.Lens.Rows / 2.0);
        double[] covariance = new double[Size * Size];
        if (!frame.Lens.TryRayOf(middle, out Vector3D ray) || !DenseCholesky.Factor(information, Size))
        {
            return double.PositiveInfinity;
        }

        DenseCholesky.Invert(information, Size, covariance);
        Vector3D ground = frame.Pose.CentreLocalMetres + frame.Pose.ToLocalDirection(ray * (depth / ray.Z));
        Span<double> byPose = stackalloc double[2 * Size];
        Span<double> byPlace = stackalloc double[6];
        _ = Rows(frame, ground, 1, byPose, byPlace);
        double variance = 0;
        for (int axis = 0; axis < 2; axis++)
        {
            for (int row = 0; row < Size; row++)
            {
                for (int column = 0; column < Size; column++)
                {
                    variance +=
                        byPose[(axis * Size) + row]
                        * covariance[(row * Size) + column]
                        * byPose[(axis * Size) + column];
                }
            }
        }

        return Math.Sqrt(variance);
    }
}
