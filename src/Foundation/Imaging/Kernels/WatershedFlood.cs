using System.Numerics;

namespace Hillrow.Imaging;

/// <summary>Grows marked regions over a surface, lowest pixels first, until they meet.</summary>
/// <remarks>
/// Ordered-queue flooding without watershed lines (F. Meyer 1991, from memory; S. Beucher and F. Meyer 1993). Pixels of
/// equal height are taken in the order in which they were reached, so plateaus are shared by distance.
/// </remarks>
public static class WatershedFlood
{
    /// <param name="surface">Rows × columns; flooded upwards.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="mask">Only pixels that are not 0 are flooded; empty: all.</param>
    /// <param name="connectivity">Which neighbours water reaches.</param>
    /// <param name="labels">In: markers above 0. Out: every reached pixel has its basin's number.</param>
    public static void Grow<T>(
        ReadOnlySpan<T> surface,
        int rows,
        int columns,
        ReadOnlySpan<byte> mask,
        Connectivity connectivity,
        Span<int> labels
    )
        where T : IFloatingPointIeee754<T>
    {
        Shapes.Check<T, int>(surface, rows, columns, labels);
        if (!mask.IsEmpty)
        {
            Shapes.Check(mask, rows, columns);
        }

        PriorityQueue<int, (T Height, int Age)> queue = new();
        int age = 0;
        for (int index = 0; index < labels.Length; index++)
        {
            if (!mask.IsEmpty && mask[index] == 0)
            {
                labels[index] = 0;
            }
            else if (labels[index] > 0)
            {
                queue.Enqueue(index, (surface[index], age++));
            }
        }

        ReadOnlySpan<int> rowSteps = [-1, 0, 0, 1, -1, -1, 1, 1];
        ReadOnlySpan<int> columnSteps = [0, -1, 1, 0, -1, 1, -1, 1];
        int neighbours = connectivity == Connectivity.Eight ? 8 : 4;
        while (queue.TryDequeue(out int index, out (T Height, int Age) reached))
        {
            (int row, int column) = (index / columns, index % columns);
            for (int step = 0; step < neighbours; step++)
            {
                int nextRow = row + rowSteps[step];
                int nextColumn = column + columnSteps[step];
                if (unchecked((uint)nextRow >= (uint)rows) || unchecked((uint)nextColumn >= (uint)columns))
                {
                    continue;
                }

                int next = (nextRow * columns) + nextColumn;
                if (labels[next] == 0 && (mask.IsEmpty || mask[next] != 0))
                {
                    labels[next] = labels[index];

                    // Water that has risen does not fall: a hollow beyond a rim fills from the rim's height.
                    queue.Enqueue(next, (T.Max(surface[next], reached.Height), age++));
                }
            }
        }
    }
}
