namespace Hillrow.Radiometry;

/// <summary>How unsure the shade is where a frame shows ground that no other capture saw.</summary>
/// <remarks>
/// Shade is carried on from the nearest node that was compared; how wrong that goes with distance is read off the shade
/// that was compared: the root mean square change between nodes so far apart, over all captures.
/// </remarks>
internal static class UnseenShade
{
    /// <summary>A node with less weight of looks was not compared.</summary>
    private const double LeastWeight = 0.5;

    /// <summary>By capture and node, 0 where it was compared.</summary>
    public static double[][] Of(GainSamples samples, IReadOnlyList<double[]> nodes, int rows, int columns)
    {
        double[][] seen = Weights(samples, nodes.Count, rows * columns);
        double[] changes = Changes(nodes, seen, rows, columns);
        double[][] unseen = new double[nodes.Count][];
        for (int capture = 0; capture < nodes.Count; capture++)
        {
            unseen[capture] = new double[rows * columns];
            for (int node = 0; node < rows * columns; node++)
            {
                int away = Distance(seen[capture], node, rows, columns);
                unseen[capture][node] = changes[Math.Min(changes.Length - 1, away)];
            }
        }

        return unseen;
    }

    private static double[][] Weights(GainSamples samples, int captures, int count)
    {
        double[][] seen = [.. Enumerable.Range(0, captures).Select(_ => new double[count])];
        for (int look = 0; look < samples.Looks; look++)
        {
            samples.NodeOf(look).Spread(1, seen[samples.CaptureOf(look)]);
        }

        return seen;
    }

    /// <summary>Nodes to the nearest that was compared; a whole frame's width when none was.</summary>
    private static int Distance(double[] seen, int node, int rows, int columns)
    {
        int nearest = rows + columns;
        (int row, int column) = (node / columns, node % columns);
        for (int other = 0; other < seen.Length; other++)
        {
            if (seen[other] >= LeastWeight)
            {
                (int down, int across) = (Math.Abs((other / columns) - row), Math.Abs((other % columns) - column));
                nearest = Math.Min(nearest, Math.Max(down, across));
            }
        }

        return nearest;
    }

    /// <summary>Root mean square change over so many nodes along rows and columns; 0 for none, never falling.</summary>
    private static double[] Changes(IReadOnlyList<double[]> nodes, double[][] seen, int rows, int columns)
    {
        double[] changes = new double[Math.Max(2, columns / 2)];
        for (int apart = 1; apart < changes.Length; apart++)
        {
            double squares = 0;
            int count = 0;
            for (int capture = 0; capture < nodes.Count; capture++)
            {
                for (int node = 0; node < rows * columns; node++)
                {
                    if ((node % columns) + apart < columns)
                    {
                        Add(capture, node, node + apart);
                    }

                    if (node + (apart * columns) < rows * columns)
                    {
                        Add(capture, node, node + (apart * columns));
                    }
                }
            }

            changes[apart] = Math.Max(changes[apart - 1], count == 0 ? 0 : Math.Sqrt(squares / count));

            void Add(int capture, int one, int other)
            {
                if (seen[capture][one] >= LeastWeight && seen[capture][other] >= LeastWeight)
                {
                    double change = nodes[capture][one] - nodes[capture][other];
                    squares += change * change;
                    count++;
                }
            }
        }

        return changes;
    }
}
