using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Radiometry.Tests;

public sealed class GainSolverTests
{
    private const int Captures = 14;

    [Fact]
    public void Solve_CloudJumps_AreRecovered()
    {
        Modelled modelled = Modelled.Draw(nodes: 1, noise: 0.03, outliers: 0.05);
        GainProblem problem = modelled.Problem();
        for (int capture = 0; capture < Captures; capture++)
        {
            problem.Add(GainPrior.Of(capture, 0, 0.3));
        }

        double[] found = GainSolver.Solve(problem).Values;
        double shift = modelled.Light.Average() - found[..Captures].Average();
        for (int capture = 0; capture < Captures; capture++)
        {
            // The light scatters by 0.25; what is left grows along the row of captures.
            Assert.InRange(found[capture] + shift - modelled.Light[capture], -0.03, 0.03);
        }
    }

    [Fact]
    public void Solve_SmoothLightWithinFrames_IsRecovered()
    {
        Modelled modelled = Modelled.Draw(nodes: 4, noise: 0.03, outliers: 0.05);
        GainProblem problem = modelled.Problem();
        for (int unknown = 0; unknown < problem.SharedStart; unknown++)
        {
            problem.Add(GainPrior.Of(unknown, 0, 0.3));
        }

        problem.Add(GainPrior.Of(problem.SharedStart, 0, 0.7));
        double[] found = GainSolver.Solve(problem).Values;
        double shift = modelled.Light.Average() - found[..modelled.Light.Length].Average();
        double squares = 0;
        for (int unknown = 0; unknown < modelled.Light.Length; unknown++)
        {
            double off = found[unknown] + shift - modelled.Light[unknown];
            squares += off * off / modelled.Light.Length;
        }

        // The light itself scatters by 0.25.
        Assert.InRange(Math.Sqrt(squares), 0, 0.08);
    }

    [Fact]
    public void Solve_ViewAngleEffect_IsToldApartFromGains()
    {
        Modelled modelled = Modelled.Draw(nodes: 1, noise: 0.02, outliers: 0);
        GainProblem problem = modelled.Problem();
        for (int capture = 0; capture < Captures; capture++)
        {
            problem.Add(GainPrior.Of(capture, 0, 0.3));
        }

        problem.Add(GainPrior.Of(problem.SharedStart, 0, 0.7));
        GainSolution solution = GainSolver.Solve(problem);
        Assert.InRange(solution.Values[problem.SharedStart], Modelled.Weight - 0.03, Modelled.Weight + 0.03);
    }

    [Fact]
    public void Solve_LevelIsKeptByPriors_AndSigmaSaysHowWell()
    {
        double squares = 0;
        double stated = 0;
        const int Draws = 40;
        for (int draw = 0; draw < Draws; draw++)
        {
            Modelled modelled = Modelled.Draw(nodes: 1, noise: 0.02, outliers: 0, seed: 100 + draw);
            SplittableRandom random = new((ulong)(900 + draw));
            GainProblem problem = modelled.Problem();
            double[] mean = new double[problem.Unknowns];
            for (int capture = 0; capture < Captures; capture++)
            {
                problem.Add(GainPrior.Of(capture, modelled.Light[capture] + (0.05 * random.NextGaussian()), 0.05));
                mean[capture] = 1.0 / Captures;
            }

            problem.Add(GainPrior.Of(problem.SharedStart, 0, 0.7));
            GainSolution solution = GainSolver.Solve(problem, looksPerFact: 1);
            double off = solution.Values[..Captures].Average() - modelled.Light.Average();
            squares += off * off / Draws;
            stated += GainSolver.SigmaOf(problem, solution, mean, looksPerFact: 1) / Draws;
        }

        // Forty draws: their root mean square is known to 11 %, taken three times.
        Assert.InRange(Math.Sqrt(squares) / stated, 0.67, 1.33);
        Assert.InRange(stated, 0.01, 0.02);
    }

    [Fact]
    public void EndPlace_OneLook_IsDropped()
    {
        GainSamples samples = new(0);
        samples.Add(0, NodePlace.At(1, 1, 0.5, 0.5), -1, []);
        samples.EndPlace();
        samples.Add(0, NodePlace.At(1, 1, 0.5, 0.5), -1, []);
        samples.Add(1, NodePlace.At(1, 1, 0.5, 0.5), -2, []);
        samples.EndPlace();
        Assert.Equal(1, samples.Places);
        Assert.Equal(2, samples.Looks);
        Assert.Equal(-2, samples.LogOf(1));
    }

    [Fact]
    public void Spread_IsTheTransposeOfOf()
    {
        double[] nodes = [1, 3, -2, 5, 0.5, 7];
        NodePlace place = NodePlace.At(2, 3, 0.3, 0.8);
        double[] weights = new double[6];
        place.Spread(2, weights);
        Assert.Equal(2 * place.Of(nodes), weights.Zip(nodes, (weight, node) => weight * node).Sum(), 10);
    }

    /// <summary>Captures in a row over places; each sees those within its reach.</summary>
    private sealed class Modelled
    {
        public const double Weight = 0.4;
        private readonly GainSamples samples = new(1);
        private int nodes;

        public double[] Light { get; private init; } = [];

        public GainProblem Problem() => new(samples, Captures, nodes, 0);

        public static Modelled Draw(int nodes, double noise, double outliers, int seed = 5)
        {
            SplittableRandom random = new((ulong)seed);
            double[] light = new double[Captures * nodes];
            for (int index = 0; index < light.Length; index++)
            {
                light[index] = 0.25 * random.NextGaussian();
            }

            Modelled modelled = new() { Light = light, nodes = nodes };
            for (int place = 0; place < 600; place++)
            {
                double at = random.NextDouble(0, Captures + 3);
                double row = random.NextDouble();
                double log = Math.Log(random.NextDouble(0.05, 0.5));
                for (int capture = 0; capture < Captures; capture++)
                {
                    double column = (at - capture) / 4;
                    if (column is < 0 or >= 1)
                    {
                        continue;
                    }

                    NodePlace node = nodes == 1 ? NodePlace.At(1, 1, row, column) : NodePlace.At(2, 2, row, column);
                    float angle = (float)((column - 0.4) * (column - 0.4) * 2);
                    double wild = random.NextDouble() < outliers ? random.NextDouble(-1, 1) : 0;
                    double look =
                        log
                        - node.Of(light.AsSpan(capture * nodes, nodes))
                        + (Weight * angle)
                        + (noise * random.NextGaussian())
                        + wild;
                    modelled.samples.Add(capture, node, look, [angle]);
                }

                modelled.samples.EndPlace();
            }

            return modelled;
        }
    }
}
