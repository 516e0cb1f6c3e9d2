using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Numerics.Linear;
using Hillrow.Sight;
using Xunit;

namespace Hillrow.Reconstruction.Tests.Adjustment;

public sealed class CaptureHoldTests
{
    private const double Sigma = 0.5;
    private const double FreeMetres = 10;

    private static readonly Lens Lens = new BrownConradyLens(
        1088,
        1456,
        new BrownConradyValues(1594, 1594, new PixelPoint(728, 544), -0.1, 0.12)
    );

    private static readonly CameraPose[] Poses = [Pose(0, 0, 90), Pose(9, 1, 92), Pose(-10, 14, 270), Pose(4, -17, 88)];

    [Fact]
    public void Equals_the_joint_inverse_of_pose_and_spots()
    {
        List<TiePoint> points = Spots(24, 25);
        double ours = CaptureHold.MiddlePixels(
            Frames,
            points,
            Priors,
            new ReconstructionSettings { FeatureSigmaPixels = Sigma, FeatureSigmaShare = 0 }
        )[0];
        double plain = JointInverse(points);
        Assert.Equal(plain, ours, 1e-4 * plain);
    }

    [Fact]
    public void A_capture_tied_in_one_corner_is_held_more_loosely()
    {
        double spread = CaptureHold.MiddlePixels(
            Frames,
            Spots(24, 25),
            Priors,
            new ReconstructionSettings { FeatureSigmaPixels = Sigma, FeatureSigmaShare = 0 }
        )[0];
        double corner = CaptureHold.MiddlePixels(
            Frames,
            Spots(24, 4),
            Priors,
            new ReconstructionSettings { FeatureSigmaPixels = Sigma, FeatureSigmaShare = 0 }
        )[0];
        Assert.True(corner > 5 * spread, $"{corner} against {spread}");
    }

    [Fact]
    public void A_capture_without_sights_is_not_held() =>
        Assert.Equal(
            double.PositiveInfinity,
            CaptureHold.MiddlePixels(
                Frames,
                [],
                Priors,
                new ReconstructionSettings { FeatureSigmaPixels = Sigma, FeatureSigmaShare = 0 }
            )[2]
        );

    private static SightedFrame[] Frames => [.. Poses.Select(pose => new SightedFrame(pose, Lens))];

    private static CapturePrior[] Priors =>
        [.. Poses.Select(pose => new CapturePrior(pose, pose.CentreLocalMetres, true, true, 1.5, 3, 0.05, 0, 0))];

    private static CameraPose Pose(double east, double north, double heading) =>
        CameraPose.FromAttitude(new Vector3D(east, north, 60), Attitude.FromDegrees(heading, 1, -2));

    /// <summary>Spots that all captures see, within a square of the edge given, off the middle of the first by 15 m when it is small.</summary>
    private static List<TiePoint> Spots(int count, double edgeMetres)
    {
        SplittableRandom draw = new(7);
        double off = edgeMetres < 10 ? 9 : 0;
        return
        [
            .. Enumerable
                .Range(0, count)
                .Select(_ => new TiePoint(
                    new Vector3D(
                        off + (edgeMetres * (draw.NextDouble() - 0.5)),
                        off + (edgeMetres * (draw.NextDouble() - 0.5)),
                        3 * draw.NextDouble()
                    ),
                    [.. Enumerable.Range(0, Poses.Length).Select(capture => new Sighting(capture, 0, default, 4))]
                )),
        ];
    }

    /// <summary>The plain twin: one dense matrix for the first pose and all spots, by differences; the others stand.</summary>
    private static double JointInverse(List<TiePoint> points)
    {
        int order = 6 + (3 * points.Count);
        double[] matrix = new double[order * order];
        CapturePrior prior = Priors[0];
        for (int k = 0; k < 3; k++)
        {
            matrix[k * (order + 1)] = 1 / Math.Pow(prior.RotationSigmaRadians, 2);
            matrix[(k + 3) * (order + 1)] =
                1 / Math.Pow(k < 2 ? prior.HorizontalSigmaMetres : prior.VerticalSigmaMetres, 2);
        }

        for (int point = 0; point < points.Count; point++)
        {
            for (int k = 0; k < 3; k++)
            {
                matrix[(6 + (3 * point) + k) * (order + 1)] = 1 / (FreeMetres * FreeMetres);
            }

            for (int capture = 0; capture < Poses.Length; capture++)
            {
                double[,] by = Differences(Poses[capture], points[point].Place);
                int[] at =
                [
                    .. Enumerable.Range(0, 6).Select(k => capture == 0 ? k : -1),
                    .. Enumerable.Range(0, 3).Select(k => 6 + (3 * point) + k),
                ];
                for (int row = 0; row < 9; row++)
                {
                    for (int column = 0; column < 9; column++)
                    {
                        if (at[row] >= 0 && at[column] >= 0)
                        {
                            matrix[(at[row] * order) + at[column]] +=
                                ((by[0, row] * by[0, column]) + (by[1, row] * by[1, column])) / (Sigma * Sigma);
                        }
                    }
                }
            }
        }

        double[] inverse = new double[order * order];
        Assert.True(DenseCholesky.Factor(matrix, order));
        DenseCholesky.Invert(matrix, order, inverse);
        double depth = points.Average(point => Poses[0].ToCamera(point.Place).Z);
        Vector3D ray = Lens.RayOf(new PixelPoint(728, 544));
        double[,] middle = Differences(
            Poses[0],
            Poses[0].CentreLocalMetres + Poses[0].ToLocalDirection(ray * (depth / ray.Z))
        );
        double variance = 0;
        for (int axis = 0; axis < 2; axis++)
        {
            for (int row = 0; row < 6; row++)
            {
                for (int column = 0; column < 6; column++)
                {
                    variance += middle[axis, row] * inverse[(row * order) + column] * middle[axis, column];
                }
            }
        }

        return Math.Sqrt(variance);
    }

    /// <summary>Pixel by turn (3), shift (3) and place (3), central differences.</summary>
    private static double[,] Differences(CameraPose pose, Vector3D place)
    {
        double[,] by = new double[2, 9];
        for (int k = 0; k < 9; k++)
        {
            const double Step = 1e-5;
            PixelPoint up = Moved(k, Step);
            PixelPoint down = Moved(k, -Step);
            by[0, k] = (up.Column - down.Column) / (2 * Step);
            by[1, k] = (up.Row - down.Row) / (2 * Step);
        }

        return by;

        PixelPoint Moved(int which, double step)
        {
            Vector3D along = new(which % 3 == 0 ? step : 0, which % 3 == 1 ? step : 0, which % 3 == 2 ? step : 0);
            CameraPose moved = (which / 3) switch
            {
                0 => new CameraPose(pose.CentreLocalMetres, Matrix3D.FromRotationVector(along) * pose.LocalToCamera),
                1 => new CameraPose(pose.CentreLocalMetres + along, pose.LocalToCamera),
                _ => pose,
            };
            Assert.True(Lens.TryProject(moved.ToCamera(which / 3 == 2 ? place + along : place), out PixelPoint pixel));
            return pixel;
        }
    }
}
