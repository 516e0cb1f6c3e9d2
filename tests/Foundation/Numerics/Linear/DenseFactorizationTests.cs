using Hillrow.Numerics.Linear;
using Xunit;

namespace Hillrow.Numerics.Tests.Linear;

public sealed class DenseFactorizationTests
{
    /// <summary>Backward-stable methods on random matrices of these sizes leave some hundred ulps.</summary>
    private const double Tolerance = 1e-10;

    [Theory]
    [InlineData(1)]
    [InlineData(5)]
    [InlineData(63)]
    [InlineData(130)]
    public void Cholesky_RandomPositiveDefinite_RebuildsTheMatrixAndSolves(int n)
    {
        double[] a = PositiveDefinite(n, 3);
        double[] factor = (double[])a.Clone();
        Assert.True(DenseCholesky.Factor(factor, n));
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j <= i; j++)
            {
                double sum = 0;
                for (int k = 0; k <= j; k++)
                {
                    sum += factor[(i * n) + k] * factor[(j * n) + k];
                }

                Assert.Equal(a[(i * n) + j], sum, Tolerance * n);
            }
        }

        double[] x = Vector(n, 4);
        double[] right = Times(a, x, n);
        DenseCholesky.Solve(factor, n, right);
        AssertClose(x, right);
        double[] inverse = new double[n * n];
        DenseCholesky.Invert(factor, n, inverse);
        AssertClose(x, Times(inverse, Times(a, x, n), n));
    }

    [Fact]
    public void Cholesky_IndefiniteMatrix_ReturnsFalse() => Assert.False(DenseCholesky.Factor([1, 2, 2, 1], 2));

    [Theory]
    [InlineData(2, 1)]
    [InlineData(7, 2)]
    [InlineData(24, 3)]
    public void SymmetricIndefinite_RandomMatrix_SolvesAndCountsSigns(int n, ulong seed)
    {
        SplittableRandom random = new(seed);
        double[] a = new double[n * n];
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j <= i; j++)
            {
                // A weak diagonal makes 2 × 2 pivots the rule.
                double value = random.NextGaussian() * (i == j ? 0.01 : 1);
                a[(i * n) + j] = value;
                a[(j * n) + i] = value;
            }
        }

        SymmetricIndefinite factor = new(a, n);
        double[] x = Vector(n, seed + 50);
        double[] solved = Times(a, x, n);
        factor.Solve(solved);
        AssertClose(x, solved);
        double[] values = new double[n];
        SymmetricEigen.Solve(a, n, values, new double[n * n]);
        Assert.Equal((values.Count(v => v > 0), values.Count(v => v < 0), 0), factor.Inertia);
    }

    [Fact]
    public void HouseholderQr_TallMatrix_MatchesTheNormalEquations()
    {
        const int Rows = 30;
        const int Columns = 6;
        double[] a = Vector(Rows * Columns, 7);
        double[] b = Vector(Rows, 8);
        HouseholderQr qr = new(Rows, Columns);
        qr.Factor(a);
        double[] x = new double[Columns];
        qr.Solve(b, x);
        double[] normal = new double[Columns * Columns];
        double[] right = new double[Columns];
        for (int row = 0; row < Rows; row++)
        {
            for (int i = 0; i < Columns; i++)
            {
                right[i] += a[(row * Columns) + i] * b[row];
                for (int j = 0; j < Columns; j++)
                {
                    normal[(i * Columns) + j] += a[(row * Columns) + i] * a[(row * Columns) + j];
                }
            }
        }

        double[] inverse = new double[Columns * Columns];
        Assert.True(qr.InverseOfNormalMatrix(inverse));
        AssertClose(x, Times(inverse, right, Columns));
        Assert.True(DenseCholesky.Factor(normal, Columns));
        DenseCholesky.Solve(normal, Columns, right);
        AssertClose(right, x);
        Assert.Equal(Columns, qr.Rank);
    }

    [Fact]
    public void HouseholderQr_DependentColumns_FindsTheRank()
    {
        double[] a = Vector(10 * 3, 9);
        for (int row = 0; row < 10; row++)
        {
            a[(row * 3) + 2] = (2 * a[row * 3]) - a[(row * 3) + 1];
        }

        HouseholderQr qr = new(10, 3);
        qr.Factor(a);
        Assert.Equal(2, qr.Rank);
        Assert.False(qr.InverseOfNormalMatrix(new double[9]));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(4)]
    [InlineData(25)]
    public void SymmetricEigen_RandomMatrix_RebuildsIt(int n)
    {
        double[] a = PositiveDefinite(n, 11);
        for (int k = 0; k < n; k++)
        {
            a[(k * n) + k] -= 1.5 * n;
        }

        double[] values = new double[n];
        double[] vectors = new double[n * n];
        SymmetricEigen.Solve(a, n, values, vectors);
        Assert.Equal(values.Order(), values);
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j < n; j++)
            {
                double rebuilt = 0;
                double product = 0;
                for (int k = 0; k < n; k++)
                {
                    rebuilt += values[k] * vectors[(k * n) + i] * vectors[(k * n) + j];
                    product += vectors[(i * n) + k] * vectors[(j * n) + k];
                }

                Assert.Equal(a[(i * n) + j], rebuilt, Tolerance * n);
                Assert.Equal(i == j ? 1 : 0, product, Tolerance);
            }
        }
    }

    [Fact]
    public void SingularValues_RandomMatrix_RebuildsItAndOrdersThem()
    {
        const int Rows = 9;
        const int Columns = 5;
        double[] a = Vector(Rows * Columns, 12);
        double[] left = new double[Rows * Columns];
        double[] values = new double[Columns];
        double[] right = new double[Columns * Columns];
        SingularValues.Solve(a, Rows, Columns, left, values, right);
        Assert.Equal(values.OrderDescending(), values);
        for (int i = 0; i < Rows; i++)
        {
            for (int j = 0; j < Columns; j++)
            {
                double sum = 0;
                for (int k = 0; k < Columns; k++)
                {
                    sum += values[k] * left[(k * Rows) + i] * right[(k * Columns) + j];
                }

                Assert.Equal(a[(i * Columns) + j], sum, Tolerance);
            }
        }
    }

    private static double[] Vector(int length, ulong seed)
    {
        SplittableRandom random = new(seed);
        return [.. Enumerable.Range(0, length).Select(_ => random.NextGaussian())];
    }

    private static double[] PositiveDefinite(int n, ulong seed)
    {
        double[] b = Vector(n * n, seed);
        double[] a = new double[n * n];
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j < n; j++)
            {
                a[(i * n) + j] = i == j ? n : 0;
                for (int k = 0; k < n; k++)
                {
                    a[(i * n) + j] += b[(i * n) + k] * b[(j * n) + k];
                }
            }
        }

        return a;
    }

    private static double[] Times(double[] a, double[] x, int n)
    {
        double[] y = new double[n];
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j < n; j++)
            {
                y[i] += a[(i * n) + j] * x[j];
            }
        }

        return y;
    }

    private static void AssertClose(double[] want, double[] got)
    {
        double scale = want.Max(Math.Abs);
        for (int k = 0; k < want.Length; k++)
        {
            Assert.Equal(want[k], got[k], 1e-8 * scale);
        }
    }
}
