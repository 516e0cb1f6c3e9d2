namespace Hillrow.Numerics.Linear;

/// <summary>Cholesky factorization A = L·Lᵀ of a dense symmetric positive definite matrix, in place.</summary>
/// <remarks>
/// Row-major, order × order; only the lower triangle is read and written. Blocked left-looking; backward stable
/// (Higham 2002, ch. 10). For matrices that may be indefinite use <see cref="SymmetricIndefinite"/>.
/// </remarks>
public static unsafe class DenseCholesky
{
    private const int PanelWidth = 64;
    private const int InnerChunk = 256;
    private const int RowChunk = 120;

    /// <returns>False when a pivot is not above 0; the content is then unusable.</returns>
    /// <exception cref="ArgumentException">The length is not order².</exception>
    public static bool Factor(Span<double> matrix, int order)
    {
        CheckLength(matrix, order);
        fixed (double* a = matrix)
        {
            for (int j = 0; j < order; j += PanelWidth)
            {
                int width = Math.Min(PanelWidth, order - j);
                double* panel = a + ((nint)j * order);
                for (int row = j; row < order; row += RowChunk)
                {
                    int rows = Math.Min(RowChunk, order - row);
                    double* lines = a + ((nint)row * order);
                    for (int k = 0; k < j; k += InnerChunk)
                    {
                        int inner = Math.Min(InnerChunk, j - k);
                        RowProducts.Subtract(lines + j, order, lines + k, order, panel + k, order, rows, width, inner);
                    }
                }

                if (!PanelFactor.FactorSquare(panel + j, order, width))
                {
                    return false;
                }

                int below = order - j - width;
                PanelFactor.SolveRows(panel + j + ((nint)width * order), below, panel + j, order, width);
            }
        }

        return true;
    }

    /// <summary>vector ← A⁻¹·vector, with the factor in <paramref name="matrix"/>.</summary>
    public static void Solve(ReadOnlySpan<double> matrix, int order, Span<double> vector)
    {
        CheckLength(matrix, order);
        CheckVector(vector, order);
        fixed (double* a = matrix)
        fixed (double* x = vector)
        {
            PanelFactor.SolveForward(a, order, order, x);
            PanelFactor.SolveBackward(a, order, order, x);
        }
    }

    /// <summary>inverse ← A⁻¹ (both triangles), with the factor in <paramref name="matrix"/>.</summary>
    public static void Invert(ReadOnlySpan<double> matrix, int order, Span<double> inverse)
    {
        CheckLength(matrix, order);
        CheckLength(inverse, order);
        inverse.Clear();
        for (int column = 0; column < order; column++)
        {
            Span<double> line = inverse.Slice(column * order, order);
            line[column] = 1;
            Solve(matrix, order, line);
        }

        // Rounding differs between the two halves by an ulp or so; one value for both keeps it symmetric.
        for (int row = 0; row < order; row++)
        {
            for (int column = 0; column < row; column++)
            {
                inverse[(column * order) + row] = inverse[(row * order) + column];
            }
        }
    }

    private static void CheckLength(ReadOnlySpan<double> matrix, int order)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(order);
        if (matrix.Length != (long)order * order)
        {
            throw new ArgumentException(
                $"Order {order} wants {(long)order * order} numbers, not {matrix.Length}.",
                nameof(matrix)
            );
        }
    }

    private static void CheckVector(ReadOnlySpan<double> vector, int order)
    {
        if (vector.Length != order)
        {
            throw new ArgumentException(
                $"Order {order} wants a vector of that length, not {vector.Length}.",
                nameof(vector)
            );
        }
    }
}
