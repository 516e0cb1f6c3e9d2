using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>A pose found from known points.</summary>
/// <param name="Pose">In the frame of the points.</param>
/// <param name="RmsPixels">Root mean square distance of a point from where it was seen (both coordinates together).</param>
public sealed record ResectionResult(CameraPose Pose, double RmsPixels);

/// <summary>The pose of a camera from known points and where they are seen: least sum of squared pixel distances.</summary>
public static class Resection
{
    /// <param name="lens">Of the picture.</param>
    /// <param name="pointsLocalMetres">At least 4 in a plane, or at least 6 not in one; not all in line.</param>
    /// <param name="pixels">One for each.</param>
    /// <param name="start">A rough pose if there is one; needed for 4 or 5 points not in a plane.</param>
    /// <returns>Null when no pose sees all the points.</returns>
    public static ResectionResult? Solve(
        Lens lens,
        IReadOnlyList<Vector3D> pointsLocalMetres,
        IReadOnlyList<PixelPoint> pixels,
        CameraPose? start = null
    )
    {
        if (pointsLocalMetres.Count != pixels.Count || pixels.Count < 4)
        {
            throw new ArgumentException(
                $"A resection needs at least 4 points and a pixel for each, not {pointsLocalMetres.Count} and {pixels.Count}."
            );
        }

        ResectionResult? best = null;
        IEnumerable<CameraPose> starts = start is not null
            ? [start]
            : ResectionStart.Candidates(lens, pointsLocalMetres, pixels);
        foreach (CameraPose candidate in starts)
        {
            (CameraPose pose, double squares) = SmallAdjustment.Minimise(
                candidate,
                6,
                2 * pixels.Count,
                (CameraPose at, Span<double> residuals, Span<double> jacobian) =>
                    Evaluate(lens, at, pointsLocalMetres, pixels, residuals, jacobian),
                Step
            );
            double rms = Math.Sqrt(squares / pixels.Count);
            if (double.IsFinite(rms) && (best is null || rms < best.RmsPixels))
            {
                best = new ResectionResult(pose, rms);
            }
        }

        return best;
    }

    /// <summary>Step: a small turn of the camera frame, then a shift of the centre.</summary>
    private static CameraPose Step(CameraPose pose, ReadOnlySpan<double> step) =>
        new(
            pose.CentreLocalMetres + new Vector3D(step[3], step[4], step[5]),
            Matrix3D.FromRotationVector(new Vector3D(step[0], step[1], step[2])) * pose.LocalToCamera
        );

    private static bool Evaluate(
        Lens lens,
        CameraPose pose,
        IReadOnlyList<Vector3D> points,
        IReadOnlyList<PixelPoint> pixels,
        Span<double> residuals,
        Span<double> jacobian
    )
    {
        Span<double> byPoint = stackalloc double[6];
        Matrix3D toLocal = pose.LocalToCamera.Transposed();
        for (int index = 0; index < points.Count; index++)
        {
            Vector3D inCamera = pose.ToCamera(points[index]);
            if (!lens.TryProject(inCamera, out PixelPoint pixel, byPoint, []))
            {
                return false;
            }

            residuals[2 * index] = pixel.Column - pixels[index].Column;
            residuals[(2 * index) + 1] = pixel.Row - pixels[index].Row;
            for (int side = 0; side < 2; side++)
            {
                // d(turn × p) = w × p, so the slope by the turn is p × slope.
                Vector3D slope = new(byPoint[3 * side], byPoint[(3 * side) + 1], byPoint[(3 * side) + 2]);
                Vector3D byTurn = Vector3D.Cross(inCamera, slope);
                Vector3D byCentre = -(toLocal * slope);
                double[] values = [byTurn.X, byTurn.Y, byTurn.Z, byCentre.X, byCentre.Y, byCentre.Z];
                values.CopyTo(jacobian.Slice(6 * ((2 * index) + side), 6));
            }
        }

        return true;
    }
}
