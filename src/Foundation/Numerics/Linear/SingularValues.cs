namespace Hillrow.Numerics.Linear;

/// <summary>Singular value decomposition A = U·diag(s)·Vᵀ of a small dense matrix.</summary>
/// <remarks>
/// One-sided Jacobi (Hestenes 1958; Golub &amp; Van Loan 2013, sec. 8.6.3): accurate also for the small singular values
/// that point at a null space. Rows ≥ columns; transpose a wide matrix first.
/// </remarks>
public static class SingularValues
{
    private const int MostSweeps = 60;

    /// <param name="matrix">rows × columns, row-major, finite, rows ≥ columns.</param>
    /// <param name="rows">Rows of A.</param>
    /// <param name="columns">Columns of A.</param>
    /// <param name="left">Receives columns × rows: row k is the k-th left vector (0 where s is 0).</param>
    /// <param name="values">Receives the singular values, descending.</param>
    /// <param name="right">Receives columns × columns: row k is the k-th right vector.</param>
    /// <exception cref="ArgumentException">A length differs or rows &lt; columns.</exception>
    public static void Solve(
        ReadOnlySpan<double> matrix,
        int rows,
        int columns,
        Span<double> left,
        Span<double> values,
        Span<double> right
    )
    {
        if (
            rows < columns
            || matrix.Length != (long)rows * columns
            || left.Length != matrix.Length
            || values.Length != columns
            || right.Length != (long)columns * columns
        )
        {
            throw new ArgumentException(
                $"{rows} × {columns}: matrix {matrix.Length}, left {left.Length}, values {values.Length}, right {right.Length} do not fit.",
                nameof(matrix)
            );
        }

        double[] u = new double[rows * columns];
        double[] v = new double[columns * columns];
        for (int column = 0; column < columns; column++)
        {
            v[(column * columns) + column] = 1;
            for (int row = 0; row < rows; row++)
            {
                u[(column * rows) + row] = matrix[(row * columns) + column];
            }
        }

        for (int sweep = 0; sweep < MostSweeps && Sweep(u, v, rows, columns); sweep++) { }

        double[] lengths = new double[columns];
        for (int column = 0; column < columns; column++)
        {
            lengths[column] = Math.Sqrt(Dot(u.AsSpan(column * rows, rows), u.AsSpan(column * rows, rows)));
        }

        int[] byLength = [.. Enumerable.Range(0, columns).OrderByDescending(column => lengths[column])];
        for (int k = 0; k < columns; k++)
        {
            int from = byLength[k];
            values[k] = lengths[from];
            v.AsSpan(from * columns, columns).CopyTo(right.Slice(k * columns, columns));
            Span<double> target = left.Slice(k * rows, rows);
            double inverse = lengths[from] > 0 ? 1 / lengths[from] : 0;
            for (int row = 0; row < rows; row++)
            {
                target[row] = u[(from * rows) + row] * inverse;
            }
        }
    }

    private static bool Sweep(double[] u, double[] v, int rows, int columns)
    {
        bool turned = false;
        for (int p = 0; p < columns; p++)
        {
            for (int q = p + 1; q < columns; q++)
            {
                Span<double> up = u.AsSpan(p * rows, rows);
                Span<double> uq = u.AsSpan(q * rows, rows);
                double pp = Dot(up, up);
                double qq = Dot(uq, uq);
                double pq = Dot(up, uq);
                if (Math.Abs(pq) <= 1e-15 * Math.Sqrt(pp) * Math.Sqrt(qq) || Math.Abs(pq) < 1e-300)
                {
                    continue;
                }

                turned = true;
                double theta = (qq - pp) / (2 * pq);
                double t = Math.CopySign(1, theta) / (Math.Abs(theta) + Math.Sqrt(1 + (theta * theta)));
                double c = 1 / Math.Sqrt(1 + (t * t));
                Turn(up, uq, c, t * c);
                Turn(v.AsSpan(p * columns, columns), v.AsSpan(q * columns, columns), c, t * c);
            }
        }

        return turned;
    }

    private static void Turn(Span<double> p, Span<double> q, double c, double s)
    {
        for (int k = 0; k < p.Length; k++)
        {
            double first = p[k];
            double second = q[k];
            p[k] = (c * first) - (s * second);
            q[k] = (s * first) + (c * second);
        }
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
}
