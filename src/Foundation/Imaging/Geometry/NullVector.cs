namespace Hillrow.Imaging;

/// <summary>The unit vector that a small matrix shrinks most: what direct linear estimates ask for.</summary>
internal static class NullVector
{
    /// <param name="matrix">rows × columns, row-major; destroyed.</param>
    /// <param name="rows">Number of equations.</param>
    /// <param name="columns">Number of unknowns.</param>
    /// <remarks>
    /// One-sided Jacobi rotations (M. R. Hestenes 1958, doi 10.1137/0106005): works on the matrix itself, so no digits
    /// are lost to squaring it.
    /// </remarks>
    public static double[] Of(double[] matrix, int rows, int columns)
    {
        double[] turns = new double[columns * columns];
        for (int index = 0; index < columns; index++)
        {
            turns[(index * columns) + index] = 1;
        }

        for (int sweep = 0; sweep < 60; sweep++)
        {
            bool turned = false;
            for (int p = 0; p < columns - 1; p++)
            {
                for (int q = p + 1; q < columns; q++)
                {
                    turned |= Orthogonalise(matrix, turns, rows, columns, p, q);
                }
            }

            if (!turned)
            {
                break;
            }
        }

        int best = 0;
        double smallest = double.PositiveInfinity;
        for (int column = 0; column < columns; column++)
        {
            double square = 0;
            for (int row = 0; row < rows; row++)
            {
                square += matrix[(row * columns) + column] * matrix[(row * columns) + column];
            }

            (smallest, best) = square < smallest ? (square, column) : (smallest, best);
        }

        double[] vector = new double[columns];
        for (int index = 0; index < columns; index++)
        {
            vector[index] = turns[(index * columns) + best];
        }

        return vector;
    }

    private static bool Orthogonalise(double[] matrix, double[] turns, int rows, int columns, int p, int q)
    {
        double pp = 0;
        double qq = 0;
        double pq = 0;
        for (int row = 0; row < rows; row++)
        {
            double a = matrix[(row * columns) + p];
            double b = matrix[(row * columns) + q];
            pp += a * a;
            qq += b * b;
            pq += a * b;
        }

        if (Math.Abs(pq) <= 1e-16 * Math.Sqrt(pp * qq) || pq == 0)
        {
            return false;
        }

        double half = (qq - pp) / (2 * pq);
        double tangent = (half < 0 ? -1 : 1) / (Math.Abs(half) + Math.Sqrt(1 + (half * half)));
        double cosine = 1 / Math.Sqrt(1 + (tangent * tangent));
        double sine = cosine * tangent;
        Rotate(matrix, rows, columns, p, q, cosine, sine);
        Rotate(turns, columns, columns, p, q, cosine, sine);
        return true;
    }

    private static void Rotate(double[] values, int rows, int columns, int p, int q, double cosine, double sine)
    {
        for (int row = 0; row < rows; row++)
        {
            double a = values[(row * columns) + p];
            double b = values[(row * columns) + q];
            values[(row * columns) + p] = (cosine * a) - (sine * b);
            values[(row * columns) + q] = (sine * a) + (cosine * b);
        }
    }
}
