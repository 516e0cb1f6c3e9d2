using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Numerics.LeastSquares;
using Hillrow.Sight;

namespace Hillrow.Intake;

/// <summary>Poses and patches of ground that fit both the instruments and the ties.</summary>
/// <param name="Frames">With their poses moved.</param>
/// <param name="PointsLocalMetres">One for each tie.</param>
/// <param name="Misfits">By tie: the larger residual of its two sights, in standard errors.</param>
internal sealed record PoseSolution(
    IReadOnlyList<SightedFrame> Frames,
    IReadOnlyList<Vector3D> PointsLocalMetres,
    IReadOnlyList<double> Misfits
)
{
    /// <summary>Centimetres are beyond what thumbnails tell.</summary>
    private const double CostTolerance = 1e-4;

    private const int MostSteps = 15;

    public static PoseSolution Of(
        IReadOnlyList<SightedFrame> frames,
        IReadOnlyList<Capture> captures,
        IReadOnlyList<PatchTie> ties,
        InstrumentErrors errors,
        double sightSigma,
        int threads
    )
    {
        double[] points =
        [
            .. ties.SelectMany(tie => new[] { tie.StartLocalMetres.X, tie.StartLocalMetres.Y, tie.StartLocalMetres.Z }),
        ];
        BlockProblem problem = new(3, points);
        int[] blocks = [.. frames.Select(_ => problem.AddSharedBlock(new double[TieResiduals.CorrectionSize]))];
        TieResiduals sights = new(
            ties,
            [.. frames.Select(frame => frame.Pose.CentreLocalMetres)],
            [.. frames.Select(frame => frame.Pose.LocalToCamera)],
            blocks,
            sightSigma
        );
        problem.AddResiduals(sights);
        foreach (
            IGrouping<string, int> sortie in Enumerable
                .Range(0, frames.Count)
                .GroupBy(at => captures[at].Sortie)
                .OrderBy(group => group.Key, StringComparer.Ordinal)
        )
        {
            DateTimeOffset? start = sortie.Select(at => captures[at].TimeUtc).FirstOrDefault(time => time is not null);
            (int At, double Seconds)[] inTime =
            [
                .. sortie
                    .Select(at => (at, (captures[at].TimeUtc - start)?.TotalSeconds ?? 0))
                    .OrderBy(one => one.Item2)
                    .ThenBy(one => one.at),
            ];
            InstrumentDrift.AddTo(
                problem,
                [.. inTime.Select(one => blocks[one.At])],
                [.. inTime.Select(one => one.Seconds)],
                errors
            );
        }

        using BlockSolver solver = new(
            problem,
            new BlockSolverSettings
            {
                CostTolerance = CostTolerance,
                MaximumSteps = MostSteps,
                Threads = threads,
            }
        );
        solver.Solve();
        SightedFrame[] moved = new SightedFrame[frames.Count];
        for (int at = 0; at < moved.Length; at++)
        {
            ReadOnlySpan<double> correction = problem.SharedValues(blocks[at]);
            CameraPose pose = frames[at].Pose;
            moved[at] = frames[at] with
            {
                Pose = new CameraPose(
                    pose.CentreLocalMetres + new Vector3D(correction[0], correction[1], correction[2]),
                    Matrix3D.FromRotationVector(new Vector3D(correction[3], correction[4], correction[5]))
                        * pose.LocalToCamera
                ),
            };
        }

        Vector3D[] placed =
        [
            .. Enumerable
                .Range(0, ties.Count)
                .Select(tie => new Vector3D(points[3 * tie], points[(3 * tie) + 1], points[(3 * tie) + 2])),
        ];
        double[] misfits =
        [
            .. ties.Select(
                (tie, at) =>
                    Math.Max(
                        Off(moved[tie.First], placed[at], tie.FirstSight),
                        Off(moved[tie.Second], placed[at], tie.SecondSight)
                    ) / sightSigma
            ),
        ];
        return new PoseSolution(moved, placed, misfits);
    }

    private static double Off(SightedFrame frame, Vector3D point, (double X, double Y) seen)
    {
        Vector3D at = frame.Pose.ToCamera(point);
        double x = (at.X / at.Z) - seen.X;
        double y = (at.Y / at.Z) - seen.Y;
        return Math.Sqrt((x * x) + (y * y));
    }
}
