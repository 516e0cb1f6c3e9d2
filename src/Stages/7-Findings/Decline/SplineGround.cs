using Hillrow.Numerics.Linear;

namespace Hillrow.Findings;

/// <summary>Cubic B-splines over the rectangle of a block, fitted by penalised weighted least squares.</summary>
/// <remarks>
/// P-splines in two directions (Eilers &amp; Marx 1996, doi 10.1214/ss/1038425655; Eilers, Currie &amp; Durbán 2006,
/// doi 10.1016/j.csda.2004.07.008): second differences of neighbouring coefficients are penalised, so that a plane costs
/// nothing and bends finer than the knots cannot be made. Pure; O(plants · 136 + coefficients³ / 3).
/// </remarks>
internal sealed class SplineGround
{
    private const int Order = 4;
    private const int MostCells = 20;

    /// <summary>Keeps coefficients that no plant touches where the penalty alone would leave them free.</summary>
    private const double Ridge = 1e-8;

    private readonly int columns;
    private readonly int[] firstEast;
    private readonly int[] firstNorth;
    private readonly double[] basisEast;
    private readonly double[] basisNorth;
    private readonly double[] penalty;

    /// <param name="east">Metres, finite.</param>
    /// <param name="north">Metres, same length.</param>
    /// <param name="knotMetres">Distance of the knots; fewer when the block is large.</param>
    public SplineGround(ReadOnlySpan<double> east, ReadOnlySpan<double> north, double knotMetres)
    {
        (firstEast, basisEast, columns) = Along(east, knotMetres);
        (firstNorth, basisNorth, int rows) = Along(north, knotMetres);
        Coefficients = columns * rows;
        penalty = Penalty(columns, rows);
    }

    public int Coefficients { get; }

    /// <summary>Fits the values.</summary>
    /// <param name="values">By plant; one of weight 0 may be NaN.</param>
    /// <param name="weights">By plant, 0 or above.</param>
    /// <param name="smoothness">Penalty against the mean information a coefficient gets; above 0.</param>
    /// <param name="fitted">By plant, also those of weight 0.</param>
    /// <returns>False when the system is singular: too few plants carry weight.</returns>
    public bool Fit(ReadOnlySpan<double> values, ReadOnlySpan<double> weights, double smoothness, Span<double> fitted)
    {
        double[] normal = new double[Coefficients * Coefficients];
        double[] right = new double[Coefficients];
        Span<double> products = stackalloc double[Order * Order];
        Span<int> places = stackalloc int[Order * Order];
        for (int plant = 0; plant < values.Length; plant++)
        {
            if (weights[plant] <= 0)
            {
                continue;
            }

            Basis(plant, products, places);
            double weight = weights[plant];
            for (int a = 0; a < products.Length; a++)
            {
                double weighted = weight * products[a];
                right[places[a]] += weighted * values[plant];
                int row = places[a] * Coefficients;
                // Places ascend, so these fill the lower triangle.
                for (int b = 0; b <= a; b++)
                {
                    normal[row + places[b]] += weighted * products[b];
                }
            }
        }

        double information = 0;
        for (int at = 0; at < Coefficients; at++)
        {
            information += normal[(at * Coefficients) + at] / Coefficients;
        }

        if (!(information > 0))
        {
            return false;
        }

        for (int row = 0; row < Coefficients; row++)
        {
            for (int column = 0; column <= row; column++)
            {
                int at = (row * Coefficients) + column;
                normal[at] += smoothness * information * penalty[at];
                normal[(column * Coefficients) + row] = normal[at];
            }

            normal[(row * Coefficients) + row] += Ridge * information;
        }

        if (!DenseCholesky.Factor(normal, Coefficients))
        {
            return false;
        }

        DenseCholesky.Solve(normal, Coefficients, right);
        for (int plant = 0; plant < fitted.Length; plant++)
        {
            Basis(plant, products, places);
            double sum = 0;
            for (int a = 0; a < products.Length; a++)
            {
                sum += products[a] * right[places[a]];
            }

            fitted[plant] = sum;
        }

        return true;
    }

    private void Basis(int plant, Span<double> products, Span<int> places)
    {
        for (int n = 0; n < Order; n++)
        {
            double along = basisNorth[(plant * Order) + n];
            int row = (firstNorth[plant] + n) * columns;
            for (int e = 0; e < Order; e++)
            {
                products[(n * Order) + e] = along * basisEast[(plant * Order) + e];
                places[(n * Order) + e] = row + firstEast[plant] + e;
            }
        }
    }

    /// <summary>First of the four splines that a plant touches, their values, and how many splines there are.</summary>
    private static (int[] First, double[] Basis, int Count) Along(ReadOnlySpan<double> at, double knotMetres)
    {
        double low = double.PositiveInfinity;
        double high = double.NegativeInfinity;
        foreach (double value in at)
        {
            low = Math.Min(low, value);
            high = Math.Max(high, value);
        }

        double length = Math.Max(high - low, 1e-3);
        int cells = (int)Math.Clamp(Math.Round(length / knotMetres), 1, MostCells);
        int[] first = new int[at.Length];
        double[] basis = new double[at.Length * Order];
        for (int plant = 0; plant < at.Length; plant++)
        {
            double scaled = (at[plant] - low) / length * cells;
            int cell = Math.Min((int)scaled, cells - 1);
            double t = scaled - cell;
            double s = 1 - t;
            first[plant] = cell;
            Span<double> own = basis.AsSpan(plant * Order, Order);
            own[0] = s * s * s / 6;
            own[1] = ((3 * t * t * t) - (6 * t * t) + 4) / 6;
            own[2] = ((3 * s * s * s) - (6 * s * s) + 4) / 6;
            own[3] = t * t * t / 6;
        }

        return (first, basis, cells + Order - 1);
    }

    /// <summary>Squares of second differences along both directions and of the mixed difference, lower triangle.</summary>
    private static double[] Penalty(int columns, int rows)
    {
        int count = columns * rows;
        double[] squares = new double[count * count];
        void Add(ReadOnlySpan<int> places, ReadOnlySpan<double> factors)
        {
            for (int a = 0; a < places.Length; a++)
            {
                for (int b = 0; b < places.Length; b++)
                {
                    if (places[b] <= places[a])
                    {
                        squares[(places[a] * count) + places[b]] += factors[a] * factors[b];
                    }
                }
            }
        }

        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                int at = (row * columns) + column;
                if (column + 2 < columns)
                {
                    Add([at, at + 1, at + 2], [1, -2, 1]);
                }

                if (row + 2 < rows)
                {
                    Add([at, at + columns, at + (2 * columns)], [1, -2, 1]);
                }

                if (column + 1 < columns && row + 1 < rows)
                {
                    // Twice the square of the mixed difference makes the penalty the same in every direction.
                    double root = Math.Sqrt(2);
                    Add([at, at + 1, at + columns, at + columns + 1], [root, -root, -root, root]);
                }
            }
        }

        return squares;
    }
}
