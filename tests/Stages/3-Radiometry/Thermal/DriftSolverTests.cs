using Hillrow.Numerics;
using Hillrow.Numerics.Linear;
using Xunit;

namespace Hillrow.Radiometry.Tests.Thermal;

public sealed class DriftSolverTests
{
    private const int Captures = 24;
    private const int Across = 20;

    [Fact]
    public void Solve_OfAMadeUpFlight_FindsEachCapturesOffsetAgainstTheMean()
    {
        Made made = Make(7, outliers: 0.05, swing: 0.6);
        DriftSolution found = new DriftSolver(made.Problem).Solve();
        double mean = made.Offsets.Average();
        double foundMean = found.Offsets.Average();
        double rms = Math.Sqrt(
            made.Offsets.Select((offset, at) => Square(found.Offsets[at] - foundMean - offset + mean)).Average()
        );
        double spread = Math.Sqrt(made.Offsets.Average(offset => Square(offset - mean)));
        Assert.True(spread > 0.15, $"the made-up drift spreads by {spread} only");
        Assert.True(rms < 0.5 * spread, $"rms {rms} of {spread}");
        // Single looks scatter by 0.25 of their own.
        Assert.True(found.After < 0.3, $"{found.Before} before, {found.After} after");
    }

    [Fact]
    public void Solve_WithoutOutliers_StatesErrorsThatItsErrorsFit()
    {
        List<double> ratios = [];
        for (ulong seed = 1; seed <= 8; seed++)
        {
            Made made = Make(seed, outliers: 0);
            DriftSolution found = new DriftSolver(made.Problem).Solve();
            double mean = made.Offsets.Average();
            double foundMean = found.Offsets.Average();
            ratios.AddRange(
                made.Offsets.Select(
                    (offset, at) => (found.Offsets[at] - foundMean - offset + mean) / found.OffsetSigmas[at]
                )
            );
        }

        // The looks err independently here, while many of them are counted as one: errors are less than what is stated.
        double spread = Math.Sqrt(ratios.Average(Square));
        Assert.InRange(spread, 0.1, 1.1);
    }

    [Fact]
    public void Solve_IsTheDenseSolutionOfTheSameEquations()
    {
        Made made = Make(3, outliers: 0);
        DriftProblem problem = made.Problem;
        DriftSolution found = new DriftSolver(problem).Solve();
        double[] dense = Dense(problem, found);
        for (int capture = 0; capture < Captures; capture++)
        {
            Assert.Equal(dense[capture], found.Offsets[capture], 2e-3);
        }

        for (int node = 0; node < ThermalDrift.Nodes; node++)
        {
            Assert.Equal(dense[Captures + node], found.Pattern[node], 2e-3);
        }
    }

    [Fact]
    public void Solve_LevelOfTheFlight_IsAsUnsureAsTheSensorsAccuracy()
    {
        DriftSolution found = new DriftSolver(Make(5, outliers: 0).Problem).Solve();
        // 24 captures of 46 s against a memory of 300 s: hardly any of the zero's spread averages out.
        Assert.InRange(found.LevelSigma, 0.9, 1.0);
    }

    /// <summary>The plain twin: places are unknowns too, the matrix is formed and factored, the last weights are used.</summary>
    private static double[] Dense(DriftProblem problem, DriftSolution found)
    {
        int own = Captures + ThermalDrift.Nodes + DriftProblem.Leans;
        int size = own + problem.Places;
        double scatter = Math.Max(found.After, DriftProblem.LeastScatterKelvin);
        double[] solution = new double[size];
        double[] weights = new double[problem.Looks.Count];
        Array.Fill(weights, 1);
        for (int round = 0; round < 14; round++)
        {
            double[] matrix = new double[size * size];
            double[] right = new double[size];
            for (int at = 0; at < problem.Looks.Count; at++)
            {
                double weight = weights[at] / (DriftSolver.AlikeLooks * scatter * scatter);
                (int Unknown, double By)[] row = Row(problem.Looks[at], own);
                foreach ((int unknown, double by) in row)
                {
                    right[unknown] += weight * by * problem.Looks[at].Kelvin;
                    foreach ((int other, double otherBy) in row)
                    {
                        matrix[(unknown * size) + other] += weight * by * otherBy;
                    }
                }
            }

            Priors(problem, matrix, size);
            Assert.True(DenseCholesky.Factor(matrix, size));
            DenseCholesky.Solve(matrix, size, right);
            solution = right;
            for (int at = 0; at < weights.Length; at++)
            {
                double off =
                    problem.Looks[at].Kelvin
                    - Row(problem.Looks[at], own).Sum(part => part.By * solution[part.Unknown]);
                weights[at] = 1 / (1 + Square(off / (2.4 * scatter)));
            }
        }

        return solution;
    }

    private static void Priors(DriftProblem problem, double[] matrix, int size)
    {
        double variance = Square(problem.AccuracyKelvin);
        matrix[0] += 1 / variance;
        for (int next = 1; next < Captures; next++)
        {
            double keep = Math.Exp(-(problem.Seconds[next] - problem.Seconds[next - 1]) / DriftProblem.DriftSeconds);
            double weight = 1 / (variance * (1 - (keep * keep)));
            matrix[(next * size) + next] += weight;
            matrix[((next - 1) * size) + next - 1] += weight * keep * keep;
            matrix[(next * size) + next - 1] -= weight * keep;
            matrix[((next - 1) * size) + next] -= weight * keep;
        }

        for (int node = Captures; node < Captures + ThermalDrift.Nodes + DriftProblem.Leans; node++)
        {
            double sigma =
                node < Captures + ThermalDrift.Nodes
                    ? DriftProblem.PatternSigmaKelvin
                    : DriftProblem.LeanSigmaKelvin(node - Captures - ThermalDrift.Nodes);
            matrix[(node * size) + node] += 1 / Square(sigma);
        }
    }

    private static (int Unknown, double By)[] Row(ThermalLook look, int own)
    {
        double row = look.RowShare * (ThermalDrift.NodeRows - 1);
        double column = look.ColumnShare * (ThermalDrift.NodeColumns - 1);
        List<(int, double)> parts = [(look.Capture, 1), (own + look.Place, 1)];
        for (int r = 0; r < ThermalDrift.NodeRows; r++)
        {
            for (int c = 0; c < ThermalDrift.NodeColumns; c++)
            {
                double by = Math.Max(0, 1 - Math.Abs(row - r)) * Math.Max(0, 1 - Math.Abs(column - c));
                if (by > 0)
                {
                    parts.Add((Captures + (r * ThermalDrift.NodeColumns) + c, by));
                }
            }
        }

        double[] leans =
        [
            look.TowardsSun,
            look.AcrossSun,
            Square(look.TowardsSun),
            Square(look.AcrossSun),
            look.TowardsSun * look.AcrossSun,
        ];
        parts.AddRange(leans.Select((by, at) => (own - leans.Length + at, by)));
        return [.. parts];
    }

    /// <summary>Four lines of six captures to and fro over places in a square; a drift that wanders, a pattern, noise, and leaves that flash.</summary>
    private static Made Make(ulong seed, double outliers, double swing = 0)
    {
        SplittableRandom draw = new(seed);
        double[] offsets = new double[Captures];
        double[] seconds = new double[Captures];
        for (int capture = 0; capture < Captures; capture++)
        {
            seconds[capture] = 2 * capture;
            offsets[capture] =
                capture == 0 ? 0.5 * draw.NextGaussian() : offsets[capture - 1] + (0.115 * draw.NextGaussian());
        }

        double[] ground = new double[Across * Across];
        for (int place = 0; place < ground.Length; place++)
        {
            ground[place] = 300 + (4 * draw.NextGaussian());
        }

        for (int capture = 0; capture < Captures; capture++)
        {
            offsets[capture] += swing * Math.Sin(capture / 4.0);
        }

        List<ThermalLook> looks = [];
        for (int place = 0; place < ground.Length; place++)
        {
            double x = place % Across / (double)Across;
            double y = place / Across / (double)Across;
            for (int capture = 0; capture < Captures; capture++)
            {
                int line = capture / 6;
                bool back = line % 2 == 1;
                double along = (back ? 5 - (capture % 6) : capture % 6) / 5.0;
                double right = (x - along) / 0.5;
                double down = (y - (line / 3.0)) / 0.7;
                if (Math.Abs(right) > 0.5 || Math.Abs(down) > 0.5)
                {
                    continue;
                }

                double rowShare = 0.5 + (back ? -down : down);
                double columnShare = 0.5 + (back ? -right : right);
                double kelvin =
                    ground[place]
                    + offsets[capture]
                    + (0.4 * Math.Sin(4 * rowShare) * Math.Cos(3 * columnShare))
                    + (0.2 * right)
                    + (0.25 * draw.NextGaussian());
                kelvin += draw.NextDouble() < outliers ? 6 * draw.NextGaussian() : 0;
                looks.Add(new ThermalLook(place, capture, kelvin, rowShare, columnShare, 0.5 * right, 0.5 * down));
            }
        }

        int[] seen = new int[ground.Length];
        foreach (ThermalLook look in looks)
        {
            seen[look.Place]++;
        }

        int[] number = new int[ground.Length];
        int places = 0;
        for (int place = 0; place < seen.Length; place++)
        {
            number[place] = seen[place] > 1 ? places++ : -1;
        }

        return new Made(
            new DriftProblem(
                [
                    .. looks
                        .Where(look => number[look.Place] >= 0)
                        .Select(look => look with { Place = number[look.Place] }),
                ],
                places,
                seconds,
                1
            ),
            offsets
        );
    }

    private static double Square(double value) => value * value;

    private sealed record Made(DriftProblem Problem, double[] Offsets);
}
