namespace Hillrow.Numerics.Linear;

/// <summary>QR factorization A·P = Q·R with column pivoting, for dense least squares and rank.</summary>
/// <remarks>
/// Householder reflections with down-dated column norms (Businger &amp; Golub 1965; Golub &amp; Van Loan 2013, alg. 5.4.1).
/// Reusable: <see cref="Factor"/> allocates nothing.
/// </remarks>
public sealed class HouseholderQr
{
    private readonly double[] columnsOf;
    private readonly double[] beta;
    private readonly double[] norms;
    private readonly double[] exactNorms;
    private readonly int[] permutation;
    private readonly double[] work;

    /// <param name="rows">Rows of A, at least its columns.</param>
    /// <param name="columns">Columns of A, 1 or more.</param>
    public HouseholderQr(int rows, int columns)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(columns, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(rows, columns);
        Rows = rows;
        Columns = columns;
        columnsOf = new double[checked(rows * columns)];
        beta = new double[columns];
        norms = new double[columns];
        exactNorms = new double[columns];
        permutation = new int[columns];
        work = new double[rows];
    }

    public int Rows { get; }

    public int Columns { get; }

    /// <summary>Columns found independent: pivots above max(rows, columns)·ε times the largest.</summary>
    public int Rank { get; private set; }

    /// <summary>Permutation[k] is the column of A that came k-th.</summary>
    public ReadOnlySpan<int> Permutation => permutation;

    /// <param name="matrix">Rows × Columns, row-major.</param>
    public void Factor(ReadOnlySpan<double> matrix)
    {
        if (matrix.Length != Rows * Columns)
        {
            throw new ArgumentException(
                $"{Rows} × {Columns} wants {Rows * Columns} numbers, not {matrix.Length}.",
                nameof(matrix)
            );
        }

        for (int row = 0; row < Rows; row++)
        {
            for (int column = 0; column < Columns; column++)
            {
                columnsOf[(column * Rows) + row] = matrix[(row * Columns) + column];
            }
        }

        for (int column = 0; column < Columns; column++)
        {
            permutation[column] = column;
            norms[column] = Norm(Column(column));
            exactNorms[column] = norms[column];
        }

        double largest = 0;
        Rank = 0;
        for (int k = 0; k < Columns; k++)
        {
            BringLargest(k);
            Reflect(k);
            double pivot = Math.Abs(columnsOf[(k * Rows) + k]);
            largest = Math.Max(largest, pivot);
            if (pivot > Rows * 2.3e-16 * largest && pivot > 0)
            {
                Rank = k + 1;
            }

            for (int column = k + 1; column < Columns; column++)
            {
                Apply(k, Column(column));
                Downdate(k, column);
            }
        }
    }

    /// <summary>Entry of R, row ≤ column, in pivoted order.</summary>
    public double R(int row, int column) => columnsOf[(column * Rows) + row];

    /// <summary>Basic least-squares solution: dependent columns get 0.</summary>
    /// <param name="right">Rows long.</param>
    /// <param name="solution">Columns long.</param>
    public void Solve(ReadOnlySpan<double> right, Span<double> solution)
    {
        if (right.Length != Rows || solution.Length != Columns)
        {
            throw new ArgumentException(
                $"Wanted {Rows} right-hand sides and {Columns} unknowns, not {right.Length} and {solution.Length}.",
                nameof(right)
            );
        }

        right.CopyTo(work);
        for (int k = 0; k < Columns; k++)
        {
            Apply(k, work);
        }

        solution.Clear();
        for (int i = Rank - 1; i >= 0; i--)
        {
            double sum = work[i];
            for (int k = i + 1; k < Rank; k++)
            {
                sum -= R(i, k) * work[k];
            }

            work[i] = sum / R(i, i);
            solution[permutation[i]] = work[i];
        }
    }

    /// <summary>(AᵀA)⁻¹, Columns × Columns in A's own order.</summary>
    /// <returns>False when A lacks full rank; the target is then left alone.</returns>
    public bool InverseOfNormalMatrix(Span<double> inverse)
    {
        int n = Columns;
        if (Rank < n)
        {
            return false;
        }

        // X = R⁻¹, then X·Xᵀ.
        double[] x = new double[n * n];
        for (int column = 0; column < n; column++)
        {
            x[(column * n) + column] = 1 / R(column, column);
            for (int i = column - 1; i >= 0; i--)
            {
                double sum = 0;
                for (int k = i + 1; k <= column; k++)
                {
                    sum += R(i, k) * x[(k * n) + column];
                }

                x[(i * n) + column] = -sum / R(i, i);
            }
        }

        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j < n; j++)
            {
                double sum = 0;
                for (int k = Math.Max(i, j); k < n; k++)
                {
                    sum += x[(i * n) + k] * x[(j * n) + k];
                }

                inverse[(permutation[i] * n) + permutation[j]] = sum;
            }
        }

        return true;
    }

    /// <summary>Length of a vector without overflow or underflow.</summary>
    private static double Norm(ReadOnlySpan<double> vector)
    {
        double largest = 0;
        foreach (double value in vector)
        {
            largest = Math.Max(largest, Math.Abs(value));
        }

        if (largest is 0 || !double.IsFinite(largest))
        {
            return largest;
        }

        double sum = 0;
        foreach (double value in vector)
        {
            double part = value / largest;
            sum += part * part;
        }

        return largest * Math.Sqrt(sum);
    }

    private Span<double> Column(int column) => columnsOf.AsSpan(column * Rows, Rows);

    private void BringLargest(int k)
    {
        int best = k;
        for (int column = k + 1; column < Columns; column++)
        {
            best = norms[column] > norms[best] ? column : best;
        }

        if (best == k)
        {
            return;
        }

        Span<double> a = Column(k);
        Span<double> b = Column(best);
        for (int row = 0; row < Rows; row++)
        {
            (a[row], b[row]) = (b[row], a[row]);
        }

        (permutation[k], permutation[best]) = (permutation[best], permutation[k]);
        (norms[k], norms[best]) = (norms[best], norms[k]);
        (exactNorms[k], exactNorms[best]) = (exactNorms[best], exactNorms[k]);
    }

    /// <summary>Reflector v with v[0] = 1 stored below the diagonal; the diagonal gets R's entry.</summary>
    private void Reflect(int k)
    {
        Span<double> x = Column(k)[k..];
        double norm = Norm(x);
        double tail = Norm(x[1..]);
        if (tail is 0)
        {
            beta[k] = 0;
            return;
        }

        double diagonal = x[0] > 0 ? -norm : norm;
        double head = x[0] - diagonal;
        beta[k] = -head / diagonal;
        x[0] = diagonal;
        for (int i = 1; i < x.Length; i++)
        {
            x[i] /= head;
        }
    }

    private void Apply(int k, Span<double> vector)
    {
        if (beta[k] is 0)
        {
            return;
        }

        ReadOnlySpan<double> v = Column(k)[k..];
        Span<double> target = vector[k..];
        double sum = target[0];
        for (int i = 1; i < v.Length; i++)
        {
            sum += v[i] * target[i];
        }

        sum *= beta[k];
        target[0] -= sum;
        for (int i = 1; i < v.Length; i++)
        {
            target[i] -= sum * v[i];
        }
    }

    private void Downdate(int k, int column)
    {
        if (norms[column] is 0)
        {
            return;
        }

        double share = Math.Abs(columnsOf[(column * Rows) + k]) / norms[column];
        double left = Math.Max(0, 1 - (share * share));
        double next = norms[column] * Math.Sqrt(left);

        // After much cancellation the running norm is noise: take it afresh.
        if (next <= 1e-7 * exactNorms[column])
        {
            next = k + 1 < Rows ? Norm(Column(column)[(k + 1)..]) : 0;
            exactNorms[column] = next;
        }

        norms[column] = next;
    }
}
