namespace Hillrow.Numerics.Assignment;

/// <summary>
/// Cheapest pairing when each row has a few candidate columns and may stay without one at a price: plants of two
/// dates, detections and known positions.
/// </summary>
/// <remarks>
/// Shortest augmenting paths over the candidates alone, with dual prices and a heap (as
/// <see cref="RectangularAssignment"/>); staying unmatched is a private column of each row. A search never leaves the
/// connected component of its row, so the work grows with the components' sizes, not with the number of rows.
/// Equal path lengths are settled by the lower column.
/// </remarks>
public static class SparseAssignment
{
    /// <param name="columns">Number of columns.</param>
    /// <param name="rowStart">Length rows + 1: candidates of row r are [rowStart[r], rowStart[r + 1]).</param>
    /// <param name="candidateColumns">Column of each candidate; no column twice in a row.</param>
    /// <param name="candidateCosts">Cost of each candidate, finite.</param>
    /// <param name="noMatchCost">Cost of leaving a row unmatched, finite.</param>
    /// <param name="columnOfRow">Receives each row's column, or −1.</param>
    /// <returns>Total cost, unmatched rows included.</returns>
    /// <exception cref="ArgumentException">Lengths differ, a column is out of range, or a cost is not finite.</exception>
    public static double Solve(
        int columns,
        ReadOnlySpan<int> rowStart,
        ReadOnlySpan<int> candidateColumns,
        ReadOnlySpan<double> candidateCosts,
        double noMatchCost,
        Span<int> columnOfRow
    )
    {
        Check(columns, rowStart, candidateColumns, candidateCosts, noMatchCost, columnOfRow);
        int rows = columnOfRow.Length;
        columnOfRow.Fill(-1);
        var search = new Search(columns, rowStart, candidateColumns, candidateCosts, noMatchCost, columnOfRow);
        for (int row = 0; row < rows; row++)
        {
            search.Place(row);
        }

        double total = 0;
        for (int row = 0; row < rows; row++)
        {
            double cost = noMatchCost;
            for (int at = rowStart[row]; at < rowStart[row + 1]; at++)
            {
                cost = candidateColumns[at] == columnOfRow[row] ? candidateCosts[at] : cost;
            }

            total += cost;
        }

        return total;
    }

    private static void Check(
        int columns,
        ReadOnlySpan<int> rowStart,
        ReadOnlySpan<int> candidateColumns,
        ReadOnlySpan<double> candidateCosts,
        double noMatchCost,
        ReadOnlySpan<int> columnOfRow
    )
    {
        ArgumentOutOfRangeException.ThrowIfNegative(columns);
        if (
            rowStart.Length != columnOfRow.Length + 1
            || rowStart[^1] != candidateColumns.Length
            || candidateColumns.Length != candidateCosts.Length
        )
        {
            throw new ArgumentException(
                $"{columnOfRow.Length} rows, {rowStart.Length} starts, {candidateColumns.Length} columns and "
                    + $"{candidateCosts.Length} costs do not belong together.",
                nameof(rowStart)
            );
        }

        if (!double.IsFinite(noMatchCost))
        {
            throw new ArgumentException($"The no-match cost is {noMatchCost}.", nameof(noMatchCost));
        }

        for (int at = 0; at < candidateColumns.Length; at++)
        {
            if ((uint)candidateColumns[at] >= (uint)columns || !double.IsFinite(candidateCosts[at]))
            {
                throw new ArgumentException(
                    $"Candidate {at}: column {candidateColumns[at]} of {columns}, cost {candidateCosts[at]}.",
                    nameof(candidateColumns)
                );
            }
        }
    }

    private ref struct Search
    {
        private readonly ReadOnlySpan<int> rowStart;
        private readonly ReadOnlySpan<int> candidates;
        private readonly ReadOnlySpan<double> costs;
        private readonly Span<int> columnOfRow;
        private readonly double noMatch;
        private readonly int[] rowOfColumn;
        private readonly double[] rowPrice;
        private readonly double[] columnPrice;
        private readonly double[] distance;
        private readonly int[] via;
        private readonly List<int> touched = [];
        private readonly List<int> settled = [];
        private readonly PriorityQueue<int, (double Distance, int Column)> queue = new();
        private double bestLeave;
        private int bestLeaver;

        public Search(
            int columns,
            ReadOnlySpan<int> starts,
            ReadOnlySpan<int> candidateColumns,
            ReadOnlySpan<double> candidateCosts,
            double noMatchCost,
            Span<int> result
        )
        {
            rowStart = starts;
            candidates = candidateColumns;
            costs = candidateCosts;
            noMatch = noMatchCost;
            columnOfRow = result;
            rowOfColumn = new int[columns];
            rowOfColumn.AsSpan().Fill(-1);
            rowPrice = new double[result.Length];
            columnPrice = new double[columns];
            distance = new double[columns];
            distance.AsSpan().Fill(double.PositiveInfinity);
            via = new int[columns];
        }

        /// <summary>Adds one row to the optimum of the rows before it.</summary>
        public void Place(int start)
        {
            double price = noMatch;
            for (int at = rowStart[start]; at < rowStart[start + 1]; at++)
            {
                price = Math.Min(price, costs[at] - columnPrice[candidates[at]]);
            }

            rowPrice[start] = price;
            bestLeave = double.PositiveInfinity;
            bestLeaver = -1;
            Visit(start, 0);
            int sink = -1;
            double reached = double.PositiveInfinity;
            while (queue.TryDequeue(out int column, out (double Distance, int Column) entry))
            {
                if (entry.Distance > distance[column])
                {
                    continue;
                }

                if (entry.Distance >= bestLeave)
                {
                    break;
                }

                if (rowOfColumn[column] < 0)
                {
                    sink = column;
                    reached = entry.Distance;
                    break;
                }

                settled.Add(column);
                Visit(rowOfColumn[column], entry.Distance);
            }

            reached = sink < 0 ? bestLeave : reached;
            rowPrice[start] += reached;
            foreach (int column in settled)
            {
                double slack = reached - distance[column];
                rowPrice[rowOfColumn[column]] += slack;
                columnPrice[column] -= slack;
            }

            Turn(start, sink);
            foreach (int column in touched)
            {
                distance[column] = double.PositiveInfinity;
            }

            touched.Clear();
            settled.Clear();
            queue.Clear();
        }

        private void Visit(int row, double reached)
        {
            double leave = reached + noMatch - rowPrice[row];
            if (leave < bestLeave)
            {
                bestLeave = leave;
                bestLeaver = row;
            }

            for (int at = rowStart[row]; at < rowStart[row + 1]; at++)
            {
                int column = candidates[at];

                // Rounding may leave a used edge a hair below 0; a path must never shrink.
                double length = reached + Math.Max(0, costs[at] - rowPrice[row] - columnPrice[column]);
                if (length < distance[column])
                {
                    if (double.IsPositiveInfinity(distance[column]))
                    {
                        touched.Add(column);
                    }

                    distance[column] = length;
                    via[column] = row;
                    queue.Enqueue(column, (length, column));
                }
            }
        }

        /// <summary>Swaps the pairs along the path found; with no sink its last row gives its column up.</summary>
        private void Turn(int start, int sink)
        {
            int column = sink;
            if (sink < 0)
            {
                column = columnOfRow[bestLeaver];
                columnOfRow[bestLeaver] = -1;
                if (bestLeaver == start)
                {
                    return;
                }
            }

            while (true)
            {
                int row = via[column];
                int before = columnOfRow[row];
                columnOfRow[row] = column;
                rowOfColumn[column] = row;
                if (row == start)
                {
                    return;
                }

                column = before;
            }
        }
    }
}
