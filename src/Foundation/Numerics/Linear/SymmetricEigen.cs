namespace Hillrow.Numerics.Linear;

/// <summary>Eigenvalues and eigenvectors of a small dense symmetric matrix.</summary>
/// <remarks>
/// Cyclic Jacobi rotations (Golub &amp; Van Loan 2013, sec. 8.5): small eigenvalues of well-scaled matrices come out to
/// full relative accuracy. Meant for orders up to a few hundred.
/// </remarks>
public static class SymmetricEigen
{
    private const int MostSweeps = 60;

    /// <param name="matrix">order × order, row-major; the lower triangle is read.</param>
    /// <param name="order">Number of rows.</param>
    /// <param name="values">Receives the eigenvalues, ascending.</param>
    /// <param name="vectors">Receives order × order: row k is the unit eigenvector of values[k], largest component positive.</param>
    /// <exception cref="ArgumentException">A length differs, or an entry is not finite.</exception>
    public static void Solve(ReadOnlySpan<double> matrix, int order, Span<double> values, Span<double> vectors)
    {
        if (matrix.Length != (long)order * order || values.Length != order || vectors.Length != matrix.Length)
        {
            throw new ArgumentException(
                $"Order {order}: matrix {matrix.Length}, values {values.Length}, vectors {vectors.Length} do not fit.",
                nameof(matrix)
            );
        }

        double[] a = new double[order * order];
        double[] v = new double[order * order];
        for (int i = 0; i < order; i++)
        {
            v[(i * order) + i] = 1;
            for (int j = 0; j <= i; j++)
            {
                double value = matrix[(i * order) + j];
                if (!double.IsFinite(value))
                {
                    throw new ArgumentException($"Entry ({i}, {j}) is {value}.", nameof(matrix));
                }

                a[(i * order) + j] = value;
                a[(j * order) + i] = value;
            }
        }

        for (int sweep = 0; sweep < MostSweeps && Sweep(a, v, order); sweep++) { }

        int[] byValue = [.. Enumerable.Range(0, order).OrderBy(k => a[(k * order) + k])];
        for (int k = 0; k < order; k++)
        {
            values[k] = a[(byValue[k] * order) + byValue[k]];
            Span<double> target = vectors.Slice(k * order, order);
            v.AsSpan(byValue[k] * order, order).CopyTo(target);
            SignByLargest(target);
        }
    }

    private static void SignByLargest(Span<double> vector)
    {
        double largest = 0;
        foreach (double value in vector)
        {
            largest = Math.Abs(value) > Math.Abs(largest) ? value : largest;
        }

        if (largest < 0)
        {
            for (int i = 0; i < vector.Length; i++)
            {
                vector[i] = -vector[i];
            }
        }
    }

    private static bool Sweep(double[] a, double[] v, int n)
    {
        bool turned = false;
        for (int p = 0; p < n; p++)
        {
            for (int q = p + 1; q < n; q++)
            {
                double off = a[(p * n) + q];
                double app = a[(p * n) + p];
                double aqq = a[(q * n) + q];
                if (
                    Math.Abs(off) <= 1.1e-16 * Math.Sqrt(Math.Abs(app)) * Math.Sqrt(Math.Abs(aqq))
                    || Math.Abs(off) < 1e-300
                )
                {
                    continue;
                }

                // An off-diagonal that no longer changes the larger diagonal entry is noise (indefinite matrices).
                if (Math.Abs(off) <= 1e-17 * Math.Max(Math.Abs(app), Math.Abs(aqq)))
                {
                    continue;
                }

                turned = true;
                double theta = (aqq - app) / (2 * off);
                double t = Math.CopySign(1, theta) / (Math.Abs(theta) + Math.Sqrt(1 + (theta * theta)));
                double c = 1 / Math.Sqrt(1 + (t * t));
                double s = t * c;
                Turn(a, n, p, q, c, s);
                a[(p * n) + p] = app - (t * off);
                a[(q * n) + q] = aqq + (t * off);
                a[(p * n) + q] = 0;
                a[(q * n) + p] = 0;
                for (int k = 0; k < n; k++)
                {
                    double vp = v[(p * n) + k];
                    double vq = v[(q * n) + k];
                    v[(p * n) + k] = (c * vp) - (s * vq);
                    v[(q * n) + k] = (s * vp) + (c * vq);
                }
            }
        }

        return turned;
    }

    private static void Turn(double[] a, int n, int p, int q, double c, double s)
    {
        for (int k = 0; k < n; k++)
        {
            if (k == p || k == q)
            {
                continue;
            }

            double akp = a[(p * n) + k];
            double akq = a[(q * n) + k];
            double first = (c * akp) - (s * akq);
            double second = (s * akp) + (c * akq);
            a[(p * n) + k] = first;
            a[(k * n) + p] = first;
            a[(q * n) + k] = second;
            a[(k * n) + q] = second;
        }
    }
}
