namespace Hillrow.Numerics.Regression;

/// <summary>
/// Householder QR of a tall matrix in double-double arithmetic, columns taken in order; a column that depends on
/// earlier ones is left out (its coefficient is NaN) rather than pivoted, so that sequential sums keep their meaning.
/// </summary>
/// <remarks>Source: Golub &amp; Van Loan, Matrix Computations, 5.2.1 (from memory), with the operators of <see cref="DoubleDouble"/>.</remarks>
internal sealed class DoubleDoubleQr
{
    /// <summary>A column whose part orthogonal to its predecessors is below this share of its length is dependent.</summary>
    /// <remarks>Doubles carry 1e-16, the arithmetic 1e-30: 1e-13 parts designs exact in doubles from badly conditioned ones.</remarks>
    private const double DependentBelow = 1e-13;

    private readonly DoubleDouble[][] columns;
    private readonly int rows;

    /// <param name="columns">Each of the same length; overwritten.</param>
    /// <param name="response">Overwritten by Qᵀ times the response.</param>
    public DoubleDoubleQr(DoubleDouble[][] columns, DoubleDouble[] response)
    {
        this.columns = columns;
        rows = response.Length;
        Rotated = response;
        Pivots = new int[columns.Length];
        Array.Fill(Pivots, -1);
        Factor();
    }

    /// <summary>Qᵀ y; entries from <see cref="Rank"/> on hold the residual.</summary>
    public DoubleDouble[] Rotated { get; }

    public int Rank { get; private set; }

    /// <summary>The row of R each column owns, or −1 where the column depends on earlier ones.</summary>
    public int[] Pivots { get; }

    public DoubleDouble ResidualSumOfSquares()
    {
        DoubleDouble sum = DoubleDouble.Zero;
        for (int row = Rank; row < rows; row++)
        {
            sum += Rotated[row] * Rotated[row];
        }

        return sum;
    }

    public DoubleDouble[] Coefficients()
    {
        DoubleDouble[] coefficients = new DoubleDouble[columns.Length];
        for (int column = columns.Length - 1; column >= 0; column--)
        {
            if (Pivots[column] < 0)
            {
                coefficients[column] = double.NaN;
                continue;
            }

            DoubleDouble sum = Rotated[Pivots[column]];
            for (int later = column + 1; later < columns.Length; later++)
            {
                if (Pivots[later] >= 0)
                {
                    sum -= columns[later][Pivots[column]] * coefficients[later];
                }
            }

            coefficients[column] = sum / columns[column][Pivots[column]];
        }

        return coefficients;
    }

    /// <summary>(XᵀX)⁻¹ over all columns, row-major; NaN in the rows and columns of dependent ones.</summary>
    public double[] InverseGram()
    {
        int count = columns.Length;
        DoubleDouble[][] inverse = new DoubleDouble[count][];
        for (int target = 0; target < count; target++)
        {
            inverse[target] = new DoubleDouble[count];
            if (Pivots[target] < 0)
            {
                continue;
            }

            for (int column = target; column >= 0; column--)
            {
                if (Pivots[column] < 0)
                {
                    continue;
                }

                DoubleDouble sum = column == target ? 1.0 : 0.0;
                for (int later = column + 1; later <= target; later++)
                {
                    if (Pivots[later] >= 0)
                    {
                        sum -= columns[later][Pivots[column]] * inverse[target][later];
                    }
                }

                inverse[target][column] = sum / columns[column][Pivots[column]];
            }
        }

        double[] gram = new double[count * count];
        for (int i = 0; i < count; i++)
        {
            for (int j = 0; j < count; j++)
            {
                DoubleDouble sum = DoubleDouble.Zero;
                for (int target = Math.Max(i, j); target < count; target++)
                {
                    sum += inverse[target][i] * inverse[target][j];
                }

                gram[(i * count) + j] = Pivots[i] < 0 || Pivots[j] < 0 ? double.NaN : sum.ToDouble();
            }
        }

        return gram;
    }

    private void Factor()
    {
        for (int column = 0; column < columns.Length; column++)
        {
            DoubleDouble[] current = columns[column];
            DoubleDouble below = DoubleDouble.Zero;
            DoubleDouble all = DoubleDouble.Zero;
            for (int row = 0; row < rows; row++)
            {
                DoubleDouble square = current[row] * current[row];
                all += square;
                if (row >= Rank)
                {
                    below += square;
                }
            }

            if (Rank >= rows || below.High <= DependentBelow * DependentBelow * all.High)
            {
                continue;
            }

            DoubleDouble norm = DoubleDouble.Sqrt(below);
            DoubleDouble head = current[Rank];
            DoubleDouble diagonal = head.High > 0 ? -norm : norm;
            current[Rank] = head - diagonal;
            DoubleDouble scale = diagonal * current[Rank];
            for (int later = column + 1; later < columns.Length; later++)
            {
                Reflect(current, columns[later], scale);
            }

            Reflect(current, Rotated, scale);
            current[Rank] = diagonal;
            Pivots[column] = Rank++;
        }
    }

    /// <summary>target += v (vᵀ target) / (diagonal · v₀), the reflection that sends the column to its diagonal.</summary>
    private void Reflect(DoubleDouble[] vector, DoubleDouble[] target, DoubleDouble scale)
    {
        DoubleDouble product = DoubleDouble.Zero;
        for (int row = Rank; row < rows; row++)
        {
            product += vector[row] * target[row];
        }

        DoubleDouble factor = product / scale;
        for (int row = Rank; row < rows; row++)
        {
            target[row] += factor * vector[row];
        }
    }
}
