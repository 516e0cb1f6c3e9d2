namespace Hillrow.Numerics.Linear;

/// <summary>Cholesky steps on a panel: a row-major strip of columns whose first rows are the diagonal square.</summary>
/// <remarks>Unchecked pointers: shapes are fixed when the structure is laid out.</remarks>
internal static unsafe class PanelFactor
{
    private const int Step = RowProducts.Lane;

    /// <summary>Factorizes the width × width square at the panel's head; entries above the diagonal are left alone.</summary>
    /// <returns>False when a pivot is not above 0 (or NaN).</returns>
    public static bool FactorSquare(double* square, int stride, int width)
    {
        unchecked
        {
            for (int j = 0; j < width; j += Step)
            {
                int columns = Math.Min(Step, width - j);
                double* head = square + ((nint)j * stride);
                RowProducts.Subtract(head + j, stride, head, stride, head, stride, width - j, columns, j);
                for (int c = 0; c < columns; c++)
                {
                    double* row = square + ((nint)(j + c) * stride) + j;
                    double pivot = row[c];
                    for (int k = 0; k < c; k++)
                    {
                        pivot -= row[k] * row[k];
                    }

                    if (!(pivot > 0) || !double.IsFinite(pivot))
                    {
                        return false;
                    }

                    double root = Math.Sqrt(pivot);
                    row[c] = root;
                    double inverse = 1 / root;
                    for (int i = j + c + 1; i < width; i++)
                    {
                        double* lower = square + ((nint)i * stride) + j;
                        double value = lower[c];
                        for (int k = 0; k < c; k++)
                        {
                            value -= lower[k] * row[k];
                        }

                        lower[c] = value * inverse;
                    }
                }
            }

            return true;
        }
    }

    /// <summary>rows ← rows · L⁻ᵀ for the factorized square L; rows share the square's stride.</summary>
    public static void SolveRows(double* rows, int count, double* square, int stride, int width)
    {
        unchecked
        {
            for (int j = 0; j < width; j += Step)
            {
                int columns = Math.Min(Step, width - j);
                double* head = square + ((nint)j * stride);
                RowProducts.Subtract(rows + j, stride, rows, stride, head, stride, count, columns, j);
                for (int c = 0; c < columns; c++)
                {
                    double* row = square + ((nint)(j + c) * stride) + j;
                    double inverse = 1 / row[c];
                    for (int i = 0; i < count; i++)
                    {
                        double* target = rows + ((nint)i * stride) + j;
                        double value = target[c];
                        for (int k = 0; k < c; k++)
                        {
                            value -= target[k] * row[k];
                        }

                        target[c] = value * inverse;
                    }
                }
            }
        }
    }

    /// <summary>x ← L⁻¹·x.</summary>
    public static void SolveForward(double* square, int stride, int width, double* x)
    {
        unchecked
        {
            for (int i = 0; i < width; i++)
            {
                double* row = square + ((nint)i * stride);
                int whole = i & ~(Step - 1);
                double sum = x[i] - RowProducts.Dot(row, x, whole);
                for (int k = whole; k < i; k++)
                {
                    sum -= row[k] * x[k];
                }

                x[i] = sum / row[i];
            }
        }
    }

    /// <summary>x ← L⁻ᵀ·x.</summary>
    public static void SolveBackward(double* square, int stride, int width, double* x)
    {
        unchecked
        {
            for (int i = width - 1; i >= 0; i--)
            {
                double* row = square + ((nint)i * stride);
                double value = x[i] / row[i];
                x[i] = value;
                int whole = i & ~(Step - 1);
                RowProducts.AddScaled(x, -value, row, whole);
                for (int k = whole; k < i; k++)
                {
                    x[k] -= row[k] * value;
                }
            }
        }
    }
}
