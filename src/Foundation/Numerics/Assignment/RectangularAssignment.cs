namespace Hillrow.Numerics.Assignment;

/// <summary>Cheapest pairing of rows with columns when every pair has a cost (linear assignment).</summary>
/// <remarks>
/// Shortest augmenting paths with dual prices (Jonker &amp; Volgenant 1987, doi 10.1007/BF02278710; rectangular form
/// after Crouse 2016, doi 10.1109/TAES.2016.140952; both from memory). O(n²m) for n ≤ m. Among equal costs the lower
/// index is tried first, so the result is the same on every run.
/// </remarks>
public static class RectangularAssignment
{
    /// <summary>Pairs min(rows, columns) rows with distinct columns at the least total cost.</summary>
    /// <param name="costs">rows × columns, row-major, finite.</param>
    /// <param name="rows">Number of rows, 0 or more.</param>
    /// <param name="columns">Number of columns, 0 or more.</param>
    /// <param name="columnOfRow">Receives each row's column, or −1 for a row left over (only when rows &gt; columns).</param>
    /// <returns>The total cost.</returns>
    /// <exception cref="ArgumentException">Lengths differ, or a cost is not finite.</exception>
    public static double Solve(ReadOnlySpan<double> costs, int rows, int columns, Span<int> columnOfRow)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(rows);
        ArgumentOutOfRangeException.ThrowIfNegative(columns);
        if (costs.Length != (long)rows * columns || columnOfRow.Length != rows)
        {
            throw new ArgumentException(
                $"{rows} × {columns} wants {(long)rows * columns} costs and {rows} places, not {costs.Length} and {columnOfRow.Length}.",
                nameof(costs)
            );
        }

        foreach (double cost in costs)
        {
            if (!double.IsFinite(cost))
            {
                throw new ArgumentException(
                    $"A cost is {cost}; forbidden pairs belong in a sparse assignment.",
                    nameof(costs)
                );
            }
        }

        columnOfRow.Fill(-1);
        if (rows <= columns)
        {
            int[] found = Augment(costs, rows, columns, columns, 1);
            found.CopyTo(columnOfRow);
        }
        else
        {
            int[] rowOfColumn = Augment(costs, columns, rows, 1, columns);
            for (int column = 0; column < columns; column++)
            {
                columnOfRow[rowOfColumn[column]] = column;
            }
        }

        double total = 0;
        for (int row = 0; row < rows; row++)
        {
            total += columnOfRow[row] < 0 ? 0 : costs[(row * columns) + columnOfRow[row]];
        }

        return total;
    }

    /// <summary>Few against many: cost of (i, j) at i·iStride + j·jStride, few ≤ many.</summary>
    private static int[] Augment(ReadOnlySpan<double> costs, int few, int many, int iStride, int jStride)
    {
        int[] partnerOfFew = new int[few];
        int[] partnerOfMany = new int[many];
        partnerOfFew.AsSpan().Fill(-1);
        partnerOfMany.AsSpan().Fill(-1);
        double[] priceOfFew = new double[few];
        double[] priceOfMany = new double[many];
        double[] distance = new double[many];
        int[] via = new int[many];
        bool[] settled = new bool[many];
        for (int start = 0; start < few; start++)
        {
            distance.AsSpan().Fill(double.PositiveInfinity);
            settled.AsSpan().Clear();
            int i = start;
            double reached = 0;
            int sink = -1;
            while (sink < 0)
            {
                int nearest = -1;
                double least = double.PositiveInfinity;
                for (int j = 0; j < many; j++)
                {
                    if (settled[j])
                    {
                        continue;
                    }

                    double length = reached + costs[(i * iStride) + (j * jStride)] - priceOfFew[i] - priceOfMany[j];
                    if (length < distance[j])
                    {
                        distance[j] = length;
                        via[j] = i;
                    }

                    // Among equals a free one ends the search at once.
                    bool better =
                        distance[j] < least
                        || (distance[j].Equals(least) && partnerOfMany[j] < 0 && partnerOfMany[nearest] >= 0);
                    if (better)
                    {
                        least = distance[j];
                        nearest = j;
                    }
                }

                reached = least;
                settled[nearest] = true;
                if (partnerOfMany[nearest] < 0)
                {
                    sink = nearest;
                }
                else
                {
                    i = partnerOfMany[nearest];
                }
            }

            priceOfFew[start] += reached;
            for (int j = 0; j < many; j++)
            {
                if (settled[j] && j != sink)
                {
                    priceOfFew[partnerOfMany[j]] += reached - distance[j];
                    priceOfMany[j] -= reached - distance[j];
                }
            }

            int column = sink;
            while (true)
            {
                int row = via[column];
                partnerOfMany[column] = row;
                (partnerOfFew[row], column) = (column, partnerOfFew[row]);
                if (row == start)
                {
                    break;
                }
            }
        }

        return partnerOfFew;
    }
}
