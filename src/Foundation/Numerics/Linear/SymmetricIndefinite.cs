namespace Hillrow.Numerics.Linear;

/// <summary>
/// Factorization P·A·Pᵀ = L·D·Lᵀ of a symmetric matrix that need not be positive definite; D has 1 × 1 and 2 × 2 blocks.
/// </summary>
/// <remarks>
/// Complete pivoting (Bunch &amp; Parlett 1971, doi 10.1137/0708060; from memory): the most stable choice, its O(n³)
/// search is no matter for the small matrices it is meant for. Singular directions solve to 0.
/// </remarks>
public sealed class SymmetricIndefinite
{
    private static readonly double PivotBound = (1 + Math.Sqrt(17)) / 8;

    private readonly int order;
    private readonly double[] a;
    private readonly int[] permutation;
    private readonly bool[] pairStarts;
    private readonly double smallest;

    /// <param name="matrix">order × order, row-major; the lower triangle is read.</param>
    /// <param name="matrixOrder">Number of rows.</param>
    public SymmetricIndefinite(ReadOnlySpan<double> matrix, int matrixOrder)
    {
        if (matrix.Length != (long)matrixOrder * matrixOrder)
        {
            throw new ArgumentException(
                $"Order {matrixOrder} wants {(long)matrixOrder * matrixOrder} numbers, not {matrix.Length}.",
                nameof(matrix)
            );
        }

        order = matrixOrder;
        a = new double[order * order];
        permutation = new int[order];
        pairStarts = new bool[order];
        double largest = 0;
        for (int i = 0; i < order; i++)
        {
            permutation[i] = i;
            for (int j = 0; j <= i; j++)
            {
                double value = matrix[(i * order) + j];
                a[(i * order) + j] = value;
                a[(j * order) + i] = value;
                largest = Math.Max(largest, Math.Abs(value));
            }
        }

        smallest = largest * order * 2.3e-16;
        Factor();
    }

    /// <summary>Positive, negative and (to working precision) zero eigenvalues of the matrix.</summary>
    public (int Positive, int Negative, int Zero) Inertia { get; private set; }

    /// <summary>vector ← A⁻¹·vector; directions in which A is singular come out 0.</summary>
    public void Solve(Span<double> vector)
    {
        double[] x = new double[order];
        for (int i = 0; i < order; i++)
        {
            x[i] = vector[permutation[i]];
        }

        for (int i = 0; i < order; i++)
        {
            int end = i > 0 && pairStarts[i - 1] ? i - 1 : i;
            for (int k = 0; k < end; k++)
            {
                x[i] -= a[(i * order) + k] * x[k];
            }
        }

        SolveBlocks(x);
        for (int i = order - 1; i >= 0; i--)
        {
            int first = pairStarts[i] ? i + 2 : i + 1;
            for (int k = first; k < order; k++)
            {
                x[i] -= a[(k * order) + i] * x[k];
            }
        }

        for (int i = 0; i < order; i++)
        {
            vector[permutation[i]] = x[i];
        }
    }

    private void SolveBlocks(double[] x)
    {
        for (int k = 0; k < order; k++)
        {
            double d = a[(k * order) + k];
            if (!pairStarts[k])
            {
                x[k] = Math.Abs(d) > smallest ? x[k] / d : 0;
                continue;
            }

            double off = a[((k + 1) * order) + k];
            double e = a[((k + 1) * order) + k + 1];
            double determinant = (d * e) - (off * off);
            double first = ((e * x[k]) - (off * x[k + 1])) / determinant;
            x[k + 1] = ((d * x[k + 1]) - (off * x[k])) / determinant;
            x[k] = first;
            k++;
        }
    }

    private void Factor()
    {
        int positive = 0;
        int negative = 0;
        int zero = 0;
        int k = 0;
        while (k < order)
        {
            FindPivots(k, out int diagonal, out double onDiagonal, out int row, out int column, out double off);
            if (Math.Max(onDiagonal, off) <= smallest)
            {
                zero += order - k;
                for (int i = k; i < order; i++)
                {
                    a.AsSpan((i * order) + k, i - k + 1).Clear();
                }

                break;
            }

            if (onDiagonal >= PivotBound * off)
            {
                Swap(k, diagonal);
                EliminateOne(k);
                _ = a[(k * order) + k] > 0 ? positive++ : negative++;
                k++;
            }
            else
            {
                Swap(k, column);
                Swap(k + 1, row);
                EliminateTwo(k);
                pairStarts[k] = true;

                // A pair is only chosen where its determinant is negative: one eigenvalue of each sign.
                positive++;
                negative++;
                k += 2;
            }
        }

        Inertia = (positive, negative, zero);
    }

    private void FindPivots(int k, out int diagonal, out double onDiagonal, out int row, out int column, out double off)
    {
        diagonal = k;
        onDiagonal = 0;
        row = k;
        column = k;
        off = 0;
        for (int i = k; i < order; i++)
        {
            double d = Math.Abs(a[(i * order) + i]);
            if (d > onDiagonal)
            {
                onDiagonal = d;
                diagonal = i;
            }

            for (int j = k; j < i; j++)
            {
                double value = Math.Abs(a[(i * order) + j]);
                if (value > off)
                {
                    off = value;
                    row = i;
                    column = j;
                }
            }
        }
    }

    private void Swap(int i, int j)
    {
        if (i == j)
        {
            return;
        }

        (permutation[i], permutation[j]) = (permutation[j], permutation[i]);
        for (int k = 0; k < order; k++)
        {
            (a[(i * order) + k], a[(j * order) + k]) = (a[(j * order) + k], a[(i * order) + k]);
        }

        // Columns still hold the symmetric part from the active corner on; finished columns are L by rows only.
        for (int k = 0; k < order; k++)
        {
            (a[(k * order) + i], a[(k * order) + j]) = (a[(k * order) + j], a[(k * order) + i]);
        }
    }

    private void EliminateOne(int k)
    {
        double pivot = a[(k * order) + k];
        for (int i = k + 1; i < order; i++)
        {
            double factor = a[(i * order) + k] / pivot;
            for (int j = k + 1; j <= i; j++)
            {
                double value = a[(i * order) + j] - (factor * a[(k * order) + j]);
                a[(i * order) + j] = value;
            }
        }

        for (int i = k + 1; i < order; i++)
        {
            a[(i * order) + k] /= pivot;
        }

        Mirror(k + 1);
    }

    private void EliminateTwo(int k)
    {
        double d = a[(k * order) + k];
        double off = a[((k + 1) * order) + k];
        double e = a[((k + 1) * order) + k + 1];
        double determinant = (d * e) - (off * off);
        for (int i = k + 2; i < order; i++)
        {
            double first = ((a[(i * order) + k] * e) - (a[(i * order) + k + 1] * off)) / determinant;
            double second = ((a[(i * order) + k + 1] * d) - (a[(i * order) + k] * off)) / determinant;
            for (int j = k + 2; j <= i; j++)
            {
                a[(i * order) + j] -= (first * a[(k * order) + j]) + (second * a[((k + 1) * order) + j]);
            }
        }

        for (int i = k + 2; i < order; i++)
        {
            double first = ((a[(i * order) + k] * e) - (a[(i * order) + k + 1] * off)) / determinant;
            double second = ((a[(i * order) + k + 1] * d) - (a[(i * order) + k] * off)) / determinant;
            a[(i * order) + k] = first;
            a[(i * order) + k + 1] = second;
        }

        Mirror(k + 2);
    }

    private void Mirror(int from)
    {
        for (int i = from; i < order; i++)
        {
            for (int j = from; j < i; j++)
            {
                a[(j * order) + i] = a[(i * order) + j];
            }
        }
    }
}
