using Hillrow.Numerics;
using OpenCvSharp;

namespace Hillrow.Imaging;

/// <summary>How a second camera stands against a first, up to scale.</summary>
/// <param name="FirstToSecond">Rotation from the first camera's frame into the second's.</param>
/// <param name="CentreInFirst">Direction of the second centre in the first camera's frame, unit length.</param>
/// <param name="Agrees">For each pair of rays.</param>
public sealed record RelativePose(Matrix3D FirstToSecond, Vector3D CentreInFirst, bool[] Agrees);

/// <summary>Poses from pictures alone, robustly, by OpenCV. The same input gives the same result.</summary>
/// <remarks>
/// Rays are given as places in a picture of unit focal length, principal point 0, no distortion: x/z and y/z. Five-point
/// relative pose: D. Nistér 2004, doi 10.1109/TPAMI.2004.17; resection: V. Lepetit et al. 2009, doi
/// 10.1007/s11263-008-0152-6; agreement: Fischler and Bolles 1981, doi 10.1145/358669.358692.
/// </remarks>
public static class VisionPoses
{
    private const double Confidence = 0.9999;
    private const int MostRounds = 600;

    /// <summary>The relative pose that most pairs of rays agree on; null when there is none.</summary>
    /// <param name="first">At least 8, each x/z, y/z.</param>
    /// <param name="second">One for each.</param>
    /// <param name="tolerance">Largest distance from the line on which a ray must lie, in units of the focal length.</param>
    public static RelativePose? Relative(
        IReadOnlyList<PixelPoint> first,
        IReadOnlyList<PixelPoint> second,
        double tolerance
    )
    {
        ArgumentNullException.ThrowIfNull(first);
        ArgumentNullException.ThrowIfNull(second);
        if (first.Count < 8 || first.Count != second.Count)
        {
            return null;
        }

        VisionLibrary.EnsureReady();
        using Mat one = Places(first);
        using Mat other = Places(second);
        using Mat camera = Mat.Eye(3, 3, MatType.CV_64FC1);
        using Mat mask = new();
        using Mat essential = Cv2.FindEssentialMat(
            one,
            other,
            camera,
            EssentialMatMethod.Ransac,
            Confidence,
            tolerance,
            mask
        );
        if (essential.Rows != 3 || essential.Cols != 3 || Cv2.CountNonZero(mask) < 8)
        {
            return null;
        }

        using Mat rotation = new();
        using Mat shift = new();
        _ = Cv2.RecoverPose(essential, one, other, camera, rotation, shift, mask);
        Matrix3D turn = Rotation(rotation);
        Vector3D way = new(shift.At<double>(0), shift.At<double>(1), shift.At<double>(2));
        bool[] agrees = new bool[first.Count];
        for (int index = 0; index < agrees.Length; index++)
        {
            agrees[index] = mask.At<byte>(index) != 0;
        }

        return new RelativePose(turn, -(turn.Transposed() * way).Normalized(), agrees);
    }

    /// <summary>The pose from which most points are seen along their rays; null when there is none.</summary>
    /// <param name="pointsLocalMetres">At least 6, not all in line.</param>
    /// <param name="rays">One for each, x/z, y/z.</param>
    /// <param name="tolerance">Largest distance of a point from its ray, in units of the focal length.</param>
    /// <returns>The pose, and the points that agree.</returns>
    public static (CameraPose Pose, int[] Agreeing)? Resect(
        IReadOnlyList<Vector3D> pointsLocalMetres,
        IReadOnlyList<PixelPoint> rays,
        double tolerance
    )
    {
        ArgumentNullException.ThrowIfNull(pointsLocalMetres);
        ArgumentNullException.ThrowIfNull(rays);
        if (rays.Count < 6 || pointsLocalMetres.Count != rays.Count)
        {
            return null;
        }

        VisionLibrary.EnsureReady();

        // About their middle, where the library's sums keep their digits.
        Vector3D middle = pointsLocalMetres.Aggregate(Vector3D.Zero, (sum, point) => sum + point) / rays.Count;
        double[] values = new double[3 * rays.Count];
        for (int index = 0; index < rays.Count; index++)
        {
            Vector3D point = pointsLocalMetres[index] - middle;
            (values[3 * index], values[(3 * index) + 1], values[(3 * index) + 2]) = (point.X, point.Y, point.Z);
        }

        using Mat points = Mat.FromPixelData(rays.Count, 3, MatType.CV_64FC1, values);
        using Mat places = Places(rays);
        using Mat camera = Mat.Eye(3, 3, MatType.CV_64FC1);
        using Mat distortion = Mat.Zeros(4, 1, MatType.CV_64FC1);
        using Mat turn = new();
        using Mat shift = new();
        using Mat inside = new();
        try
        {
            Cv2.SolvePnPRansac(
                points,
                places,
                camera,
                distortion,
                turn,
                shift,
                false,
                MostRounds,
                (float)tolerance,
                0.999,
                inside,
                SolvePnPMethod.EPNP
            );
        }
        catch (OpenCVException)
        {
            // Degenerate points (all in line, all alike) make the library stop.
            return null;
        }

        int[] agreeing = [.. Enumerable.Range(0, inside.Rows).Select(index => inside.At<int>(index))];
        if (agreeing.Length < 6)
        {
            return null;
        }

        Vector3D axis = new(turn.At<double>(0), turn.At<double>(1), turn.At<double>(2));
        Vector3D way = new(shift.At<double>(0), shift.At<double>(1), shift.At<double>(2));
        if (!double.IsFinite(axis.Length + way.Length))
        {
            return null;
        }

        Matrix3D rotation = Matrix3D.FromRotationVector(axis);
        return (new CameraPose(middle - (rotation.Transposed() * way), rotation), agreeing);
    }

    private static Mat Places(IReadOnlyList<PixelPoint> rays)
    {
        double[] values = new double[2 * rays.Count];
        for (int index = 0; index < rays.Count; index++)
        {
            (values[2 * index], values[(2 * index) + 1]) = (rays[index].Column, rays[index].Row);
        }

        return Mat.FromPixelData(rays.Count, 2, MatType.CV_64FC1, values);
    }

    private static Matrix3D Rotation(Mat values) =>
        new(
            values.At<double>(0, 0),
            values.At<double>(0, 1),
            values.At<double>(0, 2),
            values.At<double>(1, 0),
            values.At<double>(1, 1),
            values.At<double>(1, 2),
            values.At<double>(2, 0),
            values.At<double>(2, 1),
            values.At<double>(2, 2)
        );
}
