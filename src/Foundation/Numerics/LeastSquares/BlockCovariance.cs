using Hillrow.Numerics.Linear;

namespace Hillrow.Numerics.LeastSquares;

/// <summary>
/// Covariances at a solution: blocks of the inverse of JᵀJ, for residuals whose unit is their own sigma. Made by
/// <see cref="BlockSolver.Covariance"/>; of use until the solver steps again.
/// </summary>
/// <remarks>
/// A shared block takes as many solves as its step has numbers. A point's covariance is
/// V⁻¹ + V⁻¹WᵀΣWV⁻¹ with Σ the joint covariance of the blocks that see it (Triggs et al. 2000, sec. 9). Held
/// parameters come out with an idle variance of 1: leave them out. Multiply by the variance factor if sigmas are relative.
/// </remarks>
public sealed class BlockCovariance
{
    private readonly SchurSystem system;
    private readonly PointOrder order;
    private readonly BlockCholesky factor;
    private readonly int pointSize;
    private readonly double[] column;

    internal BlockCovariance(SchurSystem schurSystem, PointOrder pointOrder, BlockCholesky cholesky, int sizeOfPoint)
    {
        system = schurSystem;
        order = pointOrder;
        factor = cholesky;
        pointSize = sizeOfPoint;
        column = new double[system.Reduced.Order];
    }

    /// <summary>Covariance of a shared block's step, step size squared, row-major.</summary>
    public double[] OfShared(int block)
    {
        int size = system.Reduced.Sizes[block];
        int start = system.Reduced.Starts[block];
        double[] covariance = new double[size * size];
        for (int k = 0; k < size; k++)
        {
            SolveUnit(start + k);
            column.AsSpan(start, size).CopyTo(covariance.AsSpan(k * size));
        }

        return covariance;
    }

    /// <summary>Covariance of a point, point size squared, row-major.</summary>
    public double[] OfPoint(int point)
    {
        int p = pointSize;
        int rank = order.RankOf[point];
        ReadOnlySpan<double> inverseFactor = system.PointFactors.AsSpan(rank * p * p, p * p);
        double[] covariance = new double[p * p];
        double[] side = new double[p];
        for (int q = 0; q < p; q++)
        {
            // Column q of L⁻ᵀ·(I + Z·Σ·Zᵀ)·L⁻¹, the diagonal of L being stored inverted.
            side.AsSpan().Clear();
            side[q] = 1;
            SolveLower(inverseFactor, side);
            double[] middle = (double[])side.Clone();
            AddThroughShared(rank, side, middle);
            SolveUpper(inverseFactor, middle);
            middle.CopyTo(covariance, q * p);
        }

        return covariance;
    }

    private void AddThroughShared(int rank, double[] side, double[] middle)
    {
        column.AsSpan().Clear();
        PointCells cells = system.Cells;
        for (int cell = cells.Start[rank]; cell < cells.Start[rank + 1]; cell++)
        {
            int size = system.Reduced.Sizes[cells.Block[cell]];
            int start = system.Reduced.Starts[cells.Block[cell]];
            for (int q = 0; q < pointSize; q++)
            {
                for (int k = 0; k < size; k++)
                {
                    column[start + k] += system.CellValues[cells.ValueStart[cell] + (q * size) + k] * side[q];
                }
            }
        }

        factor.Solve(column);
        for (int cell = cells.Start[rank]; cell < cells.Start[rank + 1]; cell++)
        {
            int size = system.Reduced.Sizes[cells.Block[cell]];
            int start = system.Reduced.Starts[cells.Block[cell]];
            for (int q = 0; q < pointSize; q++)
            {
                for (int k = 0; k < size; k++)
                {
                    middle[q] += system.CellValues[cells.ValueStart[cell] + (q * size) + k] * column[start + k];
                }
            }
        }
    }

    private void SolveUnit(int index)
    {
        column.AsSpan().Clear();
        column[index] = 1;
        factor.Solve(column);
    }

    private void SolveLower(ReadOnlySpan<double> l, double[] x)
    {
        for (int i = 0; i < pointSize; i++)
        {
            for (int k = 0; k < i; k++)
            {
                x[i] -= l[(i * pointSize) + k] * x[k];
            }

            x[i] *= l[(i * pointSize) + i];
        }
    }

    private void SolveUpper(ReadOnlySpan<double> l, double[] x)
    {
        for (int i = pointSize - 1; i >= 0; i--)
        {
            x[i] *= l[(i * pointSize) + i];
            for (int k = 0; k < i; k++)
            {
                x[k] -= l[(i * pointSize) + k] * x[i];
            }
        }
    }
}
