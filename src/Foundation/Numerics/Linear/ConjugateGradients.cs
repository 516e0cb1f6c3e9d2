namespace Hillrow.Numerics.Linear;

/// <summary>Preconditioned conjugate gradients for a block-sparse symmetric positive definite matrix.</summary>
/// <remarks>
/// Preconditioner: the Cholesky factors of the diagonal blocks (block-Jacobi). Source: Hestenes &amp; Stiefel 1952,
/// doi 10.6028/jres.049.044; Saad 2003, Iterative Methods for Sparse Linear Systems, alg. 9.1.
/// </remarks>
public sealed unsafe class ConjugateGradients
{
    private readonly BlockSymmetricMatrix matrix;
    private readonly WorkTeam team;
    private readonly double[] factors;
    private readonly int[] factorStart;
    private readonly double[] residual;
    private readonly double[] preconditioned;
    private readonly double[] direction;
    private readonly double[] image;
    private readonly Action<int, int> factorPiece;
    private int broken;

    public ConjugateGradients(BlockSymmetricMatrix symmetricMatrix, WorkTeam workTeam)
    {
        ArgumentNullException.ThrowIfNull(symmetricMatrix);
        ArgumentNullException.ThrowIfNull(workTeam);
        matrix = symmetricMatrix;
        team = workTeam;
        factorStart = new int[matrix.BlockCount + 1];
        for (int block = 0; block < matrix.BlockCount; block++)
        {
            int size = matrix.Sizes[block];
            factorStart[block + 1] = factorStart[block] + (size * RowProducts.Padded(size)) + RowProducts.Lane;
        }

        factors = GC.AllocateArray<double>(factorStart[^1], pinned: true);
        residual = new double[matrix.Order];
        preconditioned = GC.AllocateArray<double>(matrix.Order + RowProducts.Lane, pinned: true);
        direction = new double[matrix.Order];
        image = new double[matrix.Order];
        factorPiece = (block, _) => FactorDiagonal(block);
    }

    /// <summary>Iterations the last call took.</summary>
    public int Iterations { get; private set; }

    /// <summary>Solves matrix · solution = right, from 0.</summary>
    /// <param name="right">Right-hand side.</param>
    /// <param name="solution">Receives the solution.</param>
    /// <param name="tolerance">Stop when the residual's length falls below this share of the right-hand side's.</param>
    /// <param name="maximumIterations">Stop here whatever the residual; what was reached is then used.</param>
    /// <returns>False when the matrix turns out not to be positive definite.</returns>
    public bool Solve(ReadOnlySpan<double> right, Span<double> solution, double tolerance, int maximumIterations)
    {
        broken = 0;
        team.Run(matrix.BlockCount, factorPiece);
        if (broken != 0)
        {
            return false;
        }

        solution.Clear();
        right.CopyTo(residual);
        double limit = tolerance * tolerance * Dot(right, right);
        Precondition();
        preconditioned.AsSpan(0, matrix.Order).CopyTo(direction);
        double product = Dot(residual, preconditioned.AsSpan(0, matrix.Order));
        Iterations = 0;
        while (Iterations < maximumIterations && Dot(residual, residual) > limit)
        {
            matrix.Multiply(direction, image);
            double curvature = Dot(direction, image);
            if (!(curvature > 0))
            {
                return false;
            }

            double along = product / curvature;
            for (int k = 0; k < residual.Length; k++)
            {
                solution[k] += along * direction[k];
                residual[k] -= along * image[k];
            }

            Precondition();
            double next = Dot(residual, preconditioned.AsSpan(0, matrix.Order));
            double keep = next / product;
            product = next;
            for (int k = 0; k < direction.Length; k++)
            {
                direction[k] = preconditioned[k] + (keep * direction[k]);
            }

            Iterations++;
        }

        return true;
    }

    private static double Dot(ReadOnlySpan<double> a, ReadOnlySpan<double> b)
    {
        double sum = 0;
        for (int k = 0; k < a.Length; k++)
        {
            sum += a[k] * b[k];
        }

        return sum;
    }

    private void FactorDiagonal(int block)
    {
        int size = matrix.Sizes[block];
        int stride = RowProducts.Padded(size);
        Span<double> target = factors.AsSpan(factorStart[block], size * stride);
        ReadOnlySpan<double> from = matrix.Block(matrix.ColumnStarts[block]);
        target.Clear();
        for (int row = 0; row < size; row++)
        {
            from.Slice(row * size, row + 1).CopyTo(target[(row * stride)..]);
        }

        fixed (double* square = target)
        {
            if (!PanelFactor.FactorSquare(square, stride, size))
            {
                Volatile.Write(ref broken, 1);
            }
        }
    }

    private void Precondition()
    {
        residual.CopyTo(preconditioned, 0);
        fixed (double* square = factors)
        fixed (double* x = preconditioned)
        {
            for (int block = 0; block < matrix.BlockCount; block++)
            {
                int size = matrix.Sizes[block];
                int stride = RowProducts.Padded(size);
                PanelFactor.SolveForward(square + factorStart[block], stride, size, x + matrix.Starts[block]);
                PanelFactor.SolveBackward(square + factorStart[block], stride, size, x + matrix.Starts[block]);
            }
        }
    }
}
