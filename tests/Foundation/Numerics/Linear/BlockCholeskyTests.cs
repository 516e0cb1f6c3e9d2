using Hillrow.Numerics.Linear;
using Xunit;

namespace Hillrow.Numerics.Tests.Linear;

/// <summary>The sparse factorization against the plain dense one on random block patterns.</summary>
public sealed class BlockCholeskyTests
{
    [Theory]
    [InlineData(1, 1, 0.5)]
    [InlineData(12, 4, 0.2)]
    [InlineData(60, 9, 0.06)]
    [InlineData(150, 1, 0.03)]
    [InlineData(40, 7, 1.0)]
    public void Solve_RandomPattern_MatchesTheDenseSolver(int blocks, int largest, double density)
    {
        BlockSymmetricMatrix matrix = Random(blocks, largest, density, 5);
        double[] dense = Dense(matrix);
        int n = matrix.Order;
        SplittableRandom random = new(6);
        double[] want = [.. Enumerable.Range(0, n).Select(_ => random.NextGaussian())];
        double[] got = (double[])want.Clone();
        double[] product = new double[n];
        matrix.Multiply(want, product);
        for (int row = 0; row < n; row++)
        {
            double sum = 0;
            for (int column = 0; column < n; column++)
            {
                sum += dense[(row * n) + column] * want[column];
            }

            Assert.Equal(sum, product[row], 1e-9);
        }

        Assert.True(DenseCholesky.Factor(dense, n));
        DenseCholesky.Solve(dense, n, want);
        using WorkTeam team = new(1);
        BlockCholesky factor = new(matrix, team);
        Assert.True(factor.Factor(matrix));
        factor.Solve(got);
        for (int k = 0; k < n; k++)
        {
            Assert.Equal(want[k], got[k], 1e-10);
        }
    }

    [Fact]
    public void Solve_OneTwoOrThreeThreads_AreEqualToTheBit()
    {
        BlockSymmetricMatrix matrix = Random(80, 9, 0.1, 8);
        double[][] results = new double[3][];
        for (int threads = 1; threads <= 3; threads++)
        {
            using WorkTeam team = new(threads);
            BlockCholesky factor = new(matrix, team);
            Assert.True(factor.Factor(matrix));
            double[] x = [.. Enumerable.Range(0, matrix.Order).Select(k => Math.Sin(k))];
            factor.Solve(x);
            results[threads - 1] = x;
        }

        Assert.Equal(results[0], results[1]);
        Assert.Equal(results[0], results[2]);
    }

    [Fact]
    public void Factor_NotPositiveDefinite_ReturnsFalse()
    {
        BlockSymmetricMatrix matrix = Random(10, 3, 0.3, 9);
        matrix.Block(matrix.ColumnStarts[4])[0] = -1;
        using WorkTeam team = new(1);
        Assert.False(new BlockCholesky(matrix, team).Factor(matrix));
    }

    [Fact]
    public void ConjugateGradients_RandomPattern_MatchesCholesky()
    {
        BlockSymmetricMatrix matrix = Random(50, 6, 0.1, 10);
        using WorkTeam team = new(2);
        BlockCholesky factor = new(matrix, team);
        Assert.True(factor.Factor(matrix));
        double[] right = [.. Enumerable.Range(0, matrix.Order).Select(k => Math.Cos(k))];
        double[] want = (double[])right.Clone();
        factor.Solve(want);
        double[] got = new double[matrix.Order];
        Assert.True(new ConjugateGradients(matrix, team).Solve(right, got, 1e-12, 1000));
        for (int k = 0; k < want.Length; k++)
        {
            Assert.Equal(want[k], got[k], 1e-9);
        }
    }

    [Fact]
    public void MinimumDegree_Arrow_LeavesTheHubForLast()
    {
        // A star: eliminating the hub first would fill everything in.
        int[] start = [0, 4, 5, 6, 7, 8];
        int[] neighbours = [1, 2, 3, 4, 0, 0, 0, 0];
        int[] order = MinimumDegreeOrder.Compute([1, 1, 1, 1, 1], start, neighbours);
        Assert.Equal([0, 1, 2, 3, 4], order.Order());
        Assert.True(Array.IndexOf(order, 0) >= 3);
    }

    private static BlockSymmetricMatrix Random(int blocks, int largest, double density, ulong seed)
    {
        SplittableRandom random = new(seed);
        int[] sizes = [.. Enumerable.Range(0, blocks).Select(_ => 1 + random.NextInt32(largest))];
        List<int> rows = [];
        int[] starts = new int[blocks + 1];
        for (int column = 0; column < blocks; column++)
        {
            rows.Add(column);
            for (int row = column + 1; row < blocks; row++)
            {
                if (random.NextDouble() < density)
                {
                    rows.Add(row);
                }
            }

            starts[column + 1] = rows.Count;
        }

        BlockSymmetricMatrix matrix = new(sizes, starts, rows.ToArray());
        for (int k = 0; k < matrix.Values.Length; k++)
        {
            matrix.Values[k] = random.NextDouble(-1, 1);
        }

        // Diagonal dominance makes it positive definite.
        for (int block = 0; block < blocks; block++)
        {
            Span<double> diagonal = matrix.Block(matrix.ColumnStarts[block]);
            int size = sizes[block];
            for (int i = 0; i < size; i++)
            {
                diagonal[(i * size) + i] = matrix.Order + 1;
                for (int k = 0; k < i; k++)
                {
                    diagonal[(k * size) + i] = diagonal[(i * size) + k];
                }
            }
        }

        return matrix;
    }

    private static double[] Dense(BlockSymmetricMatrix matrix)
    {
        int n = matrix.Order;
        double[] dense = new double[n * n];
        for (int column = 0; column < matrix.BlockCount; column++)
        {
            for (int entry = matrix.ColumnStarts[column]; entry < matrix.ColumnStarts[column + 1]; entry++)
            {
                int row = matrix.RowBlocks[entry];
                int width = matrix.Sizes[column];
                for (int i = 0; i < matrix.Sizes[row]; i++)
                {
                    for (int k = 0; k < width; k++)
                    {
                        int r = matrix.Starts[row] + i;
                        int c = matrix.Starts[column] + k;
                        dense[(r * n) + c] = matrix.Block(entry)[(i * width) + k];
                        dense[(c * n) + r] = dense[(r * n) + c];
                    }
                }
            }
        }

        return dense;
    }
}
