using Hillrow.Numerics.Assignment;
using Xunit;

namespace Hillrow.Numerics.Tests.Assignment;

/// <summary>Both assignment solvers against trying everything.</summary>
public sealed class AssignmentTests
{
    private const double Tolerance = 1e-9;

    [Fact]
    public void Rectangular_RandomCosts_MatchTryingEverything()
    {
        SplittableRandom random = new(21);
        for (int trial = 0; trial < 300; trial++)
        {
            int rows = 1 + random.NextInt32(6);
            int columns = 1 + random.NextInt32(6);

            // Whole numbers make ties common.
            double[] costs = [.. Enumerable.Range(0, rows * columns).Select(_ => (double)random.NextInt32(9) - 3)];
            int[] found = new int[rows];
            double total = RectangularAssignment.Solve(costs, rows, columns, found);
            Assert.Equal(BestDense(costs, rows, columns), total, Tolerance);
            int[] used = [.. found.Where(column => column >= 0)];
            Assert.Equal(Math.Min(rows, columns), used.Distinct().Count());
            Assert.Equal(total, Enumerable.Range(0, rows).Sum(r => found[r] < 0 ? 0 : costs[(r * columns) + found[r]]));
        }
    }

    [Fact]
    public void Sparse_RandomCandidates_MatchTryingEverything()
    {
        SplittableRandom random = new(22);
        for (int trial = 0; trial < 500; trial++)
        {
            int rows = 1 + random.NextInt32(6);
            int columns = 1 + random.NextInt32(5);
            (int[] start, int[] candidates, double[] costs) = Candidates(random, rows, columns);
            double noMatch = random.NextInt32(6);
            int[] found = new int[rows];
            double total = SparseAssignment.Solve(columns, start, candidates, costs, noMatch, found);
            Assert.Equal(BestSparse(start, candidates, costs, noMatch, 0, 0), total, Tolerance);
            int[] used = [.. found.Where(column => column >= 0)];
            Assert.Equal(used.Length, used.Distinct().Count());
        }
    }

    [Fact]
    public void Sparse_HundredThousandRowsInSmallGroups_PairsTwins()
    {
        const int Rows = 100_000;
        SplittableRandom random = new(23);
        double[] at = [.. Enumerable.Range(0, Rows).Select(k => k + random.NextDouble(-0.2, 0.2))];
        int[] start = new int[Rows + 1];
        List<int> candidates = [];
        List<double> costs = [];
        for (int row = 0; row < Rows; row++)
        {
            for (int column = Math.Max(0, row - 2); column <= Math.Min(Rows - 1, row + 2); column++)
            {
                candidates.Add(column);
                costs.Add((at[row] - column) * (at[row] - column));
            }

            start[row + 1] = candidates.Count;
        }

        int[] found = new int[Rows];
        SparseAssignment.Solve(Rows, start, candidates.ToArray(), costs.ToArray(), 1, found);
        Assert.Equal(Enumerable.Range(0, Rows), found);
    }

    [Fact]
    public void Rectangular_NotFiniteCost_Throws() =>
        Assert.Throws<ArgumentException>(() => RectangularAssignment.Solve([1, double.NaN], 1, 2, new int[1]));

    private static (int[] Start, int[] Candidates, double[] Costs) Candidates(
        SplittableRandom random,
        int rows,
        int columns
    )
    {
        int[] start = new int[rows + 1];
        List<int> candidates = [];
        List<double> costs = [];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                if (random.NextDouble() < 0.6)
                {
                    candidates.Add(column);
                    costs.Add(random.NextInt32(9) - 2);
                }
            }

            start[row + 1] = candidates.Count;
        }

        return (start, [.. candidates], [.. costs]);
    }

    private static double BestDense(double[] costs, int rows, int columns)
    {
        if (rows > columns)
        {
            double[] turned = new double[costs.Length];
            for (int r = 0; r < rows; r++)
            {
                for (int c = 0; c < columns; c++)
                {
                    turned[(c * rows) + r] = costs[(r * columns) + c];
                }
            }

            return BestDense(turned, columns, rows);
        }

        return Try(0, 0);

        double Try(int row, int used)
        {
            if (row == rows)
            {
                return 0;
            }

            double best = double.PositiveInfinity;
            for (int column = 0; column < columns; column++)
            {
                if ((used & (1 << column)) == 0)
                {
                    best = Math.Min(best, costs[(row * columns) + column] + Try(row + 1, used | (1 << column)));
                }
            }

            return best;
        }
    }

    private static double BestSparse(int[] start, int[] candidates, double[] costs, double noMatch, int row, int used)
    {
        if (row == start.Length - 1)
        {
            return 0;
        }

        double best = noMatch + BestSparse(start, candidates, costs, noMatch, row + 1, used);
        for (int at = start[row]; at < start[row + 1]; at++)
        {
            int bit = 1 << candidates[at];
            if ((used & bit) == 0)
            {
                best = Math.Min(best, costs[at] + BestSparse(start, candidates, costs, noMatch, row + 1, used | bit));
            }
        }

        return best;
    }
}
