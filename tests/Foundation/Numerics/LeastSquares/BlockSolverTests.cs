using Hillrow.Numerics.LeastSquares;
using Hillrow.Numerics.Linear;
using Hillrow.Numerics.Tests.BundleAdjustment;
using Xunit;

namespace Hillrow.Numerics.Tests.LeastSquares;

/// <summary>Properties of the block solver on small modelled flights.</summary>
public sealed class BlockSolverTests
{
    [Fact]
    public void Evaluate_AnalyticJacobian_MatchesCentralDifferences()
    {
        BalProblem scene = Scene();
        BlockProblem problem = scene.ToBlockProblem(RobustLoss.Trivial);
        ResidualGroup group = problem.Groups[0];
        int[] starts = problem.SharedStarts();
        for (int residual = 0; residual < group.Count; residual += 17)
        {
            double[] analytic = new double[24];
            ParameterValues here = new(problem.Shared, starts, problem.Points, 3);
            Assert.True(group.Evaluate([residual], here, new double[2], analytic));
            int camera = scene.Camera[residual];
            int point = scene.Point[residual];
            bool Moved(ReadOnlySpan<double> step, Span<double> result)
            {
                double[] shared = (double[])problem.Shared.Clone();
                double[] points = (double[])problem.Points.Clone();
                BalCamera.Move(problem.SharedValues(camera), step[..9], shared.AsSpan(15 * camera, 15));
                for (int k = 0; k < 3; k++)
                {
                    points[(3 * point) + k] += step[9 + k];
                }

                return group.Evaluate([residual], new ParameterValues(shared, starts, points, 3), result, []);
            }

            for (int column = 0; column < 12; column++)
            {
                double size =
                    column == 6 ? 1e-2
                    : column is 7 or 8 ? 1e-4
                    : 1e-5;
                double[] step = new double[12];
                double[] up = new double[2];
                double[] down = new double[2];
                step[column] = size;
                Moved(step, up);
                step[column] = -size;
                Moved(step, down);
                for (int row = 0; row < 2; row++)
                {
                    double numeric = (up[row] - down[row]) / (2 * size);
                    double scale = Math.Max(1, Math.Abs(numeric));
                    Assert.Equal(0, (analytic[(row * 12) + column] - numeric) / scale, 1e-6);
                }
            }
        }
    }

    [Fact]
    public void Solve_OneTwoOrThreeThreads_AreEqualToTheBit()
    {
        double[][] shared = new double[3][];
        for (int threads = 1; threads <= 3; threads++)
        {
            BlockProblem problem = Scene().ToBlockProblem(RobustLoss.Huber(1));
            using BlockSolver solver = new(problem, new BlockSolverSettings { Threads = threads });
            Assert.True(solver.Solve().Converged);
            shared[threads - 1] = [.. problem.Shared, .. problem.Points];
        }

        Assert.Equal(shared[0], shared[1]);
        Assert.Equal(shared[0], shared[2]);
    }

    [Fact]
    public void Solve_ConjugateGradients_ReachTheSameCost()
    {
        double[] costs = new double[2];
        foreach (ReducedSolver kind in Enum.GetValues<ReducedSolver>())
        {
            BlockProblem problem = Scene().ToBlockProblem(RobustLoss.Trivial);
            using BlockSolver solver = new(
                problem,
                new BlockSolverSettings { ReducedSolver = kind, CostTolerance = 1e-9 }
            );
            costs[(int)kind] = solver.Solve().CostAfter;
        }

        Assert.Equal(costs[0], costs[1], 1e-5 * costs[0]);
    }

    [Fact]
    public void Solve_HeldParameters_StayPut()
    {
        BlockProblem problem = Scene().ToBlockProblem(RobustLoss.Trivial);
        problem.HoldShared(2);
        problem.HoldShared(3, 6);
        problem.HoldPoint(5);
        double[] camera = problem.SharedValues(2).ToArray();
        double focal = problem.SharedValues(3)[12];
        double[] point = problem.PointValues(5).ToArray();
        using BlockSolver solver = new(problem);
        BlockSolverSummary summary = solver.Solve();
        Assert.True(summary.CostAfter < summary.CostBefore);
        for (int k = 0; k < 15; k++)
        {
            Assert.Equal(camera[k], problem.SharedValues(2)[k], 1e-12);
        }

        Assert.Equal(focal, problem.SharedValues(3)[12]);
        Assert.Equal(point, problem.PointValues(5).ToArray());
    }

    [Fact]
    public void Solve_FreeGauge_HasNoCovariance()
    {
        BlockProblem problem = Scene().ToBlockProblem(RobustLoss.Trivial);
        using BlockSolver solver = new(problem);
        Assert.NotNull(solver.Solve());
        BlockCovariance? covariance = solver.Covariance();

        // Rounding may let a singular matrix through; its variances are then out of all proportion.
        Assert.True(covariance is null || covariance.OfShared(0)[30] > 1e3);
    }

    [Fact]
    public void Covariance_LinearNetwork_MatchesTheDenseInverse()
    {
        LevelNetwork network = LevelNetwork.Random(31, stations: 6, points: 9);
        BlockProblem problem = network.ToBlockProblem();
        using BlockSolver solver = new(problem);
        solver.Solve();
        BlockCovariance covariance = solver.Covariance()!;
        Assert.NotNull(covariance);
        double[] dense = network.DenseCovariance(out int n);
        for (int station = 0; station < 6; station++)
        {
            Assert.Equal(dense[(station * n) + station], covariance.OfShared(station)[0], 1e-10);
        }

        for (int point = 0; point < 9; point++)
        {
            int at = 6 + point;
            Assert.Equal(dense[(at * n) + at], covariance.OfPoint(point)[0], 1e-10);
        }
    }

    private static BalProblem Scene() => BalScene.Create(7, strips: 3, perStrip: 6, points: 250, seenShare: 0.6, 0.5);

    /// <summary>Height differences between stations (shared) and points, with one prior on every station.</summary>
    private sealed record LevelNetwork(int Stations, int Points, (int Station, int Point, double Weight)[] Lines)
    {
        public static LevelNetwork Random(ulong seed, int stations, int points)
        {
            SplittableRandom random = new(seed);
            List<(int, int, double)> lines = [];
            for (int point = 0; point < points; point++)
            {
                for (int k = 0; k < 3; k++)
                {
                    lines.Add(((point + k) % stations, point, random.NextDouble(0.5, 2)));
                }
            }

            return new LevelNetwork(stations, points, [.. lines]);
        }

        public BlockProblem ToBlockProblem()
        {
            BlockProblem problem = new(1, new double[Points]);
            for (int station = 0; station < Stations; station++)
            {
                problem.AddSharedBlock([0.5 * station]);
            }

            problem.AddResiduals(new LineResiduals(Lines));
            problem.AddResiduals(new PriorResiduals(Stations));
            return problem;
        }

        public double[] DenseCovariance(out int n)
        {
            n = Stations + Points;
            double[] normal = new double[n * n];
            for (int station = 0; station < Stations; station++)
            {
                normal[(station * n) + station] += 1;
            }

            foreach ((int station, int point, double weight) in Lines)
            {
                int at = Stations + point;
                normal[(station * n) + station] += weight * weight;
                normal[(at * n) + at] += weight * weight;
                normal[(at * n) + station] -= weight * weight;
                normal[(station * n) + at] -= weight * weight;
            }

            Assert.True(DenseCholesky.Factor(normal, n));
            double[] inverse = new double[n * n];
            DenseCholesky.Invert(normal, n, inverse);
            return inverse;
        }
    }

    private sealed class LineResiduals((int Station, int Point, double Weight)[] lines)
        : ResidualGroup(lines.Length, 1, [1], usesPoint: true, RobustLoss.Trivial)
    {
        public override int SharedBlock(int residual, int slot) => lines[residual].Station;

        public override int Point(int residual) => lines[residual].Point;

        public override bool Evaluate(
            ReadOnlySpan<int> which,
            ParameterValues parameters,
            Span<double> residuals,
            Span<double> jacobians
        )
        {
            for (int k = 0; k < which.Length; k++)
            {
                (int station, int point, double weight) = lines[which[k]];
                residuals[k] = weight * (parameters.Point(point)[0] - parameters.Shared(station)[0] - 1);
                if (!jacobians.IsEmpty)
                {
                    jacobians[2 * k] = -weight;
                    jacobians[(2 * k) + 1] = weight;
                }
            }

            return true;
        }
    }

    private sealed class PriorResiduals(int stations)
        : ResidualGroup(stations, 1, [1], usesPoint: false, RobustLoss.Trivial)
    {
        public override int SharedBlock(int residual, int slot) => residual;

        public override int Point(int residual) => throw new NotSupportedException("A prior has no point.");

        public override bool Evaluate(
            ReadOnlySpan<int> which,
            ParameterValues parameters,
            Span<double> residuals,
            Span<double> jacobians
        )
        {
            for (int k = 0; k < which.Length; k++)
            {
                residuals[k] = parameters.Shared(which[k])[0];
                if (!jacobians.IsEmpty)
                {
                    jacobians[k] = 1;
                }
            }

            return true;
        }
    }
}
