namespace Hillrow.Reconstruction;

/// <summary>Drops heights that stand with few others: chance matches.</summary>
internal static class LonelyHeights
{
    /// <summary>Sets to NaN what belongs to a patch of fewer than <paramref name="least"/> pixels.</summary>
    /// <param name="heights">Rows × columns, NaN unknown.</param>
    /// <param name="rows">Of the picture.</param>
    /// <param name="columns">Of the picture.</param>
    /// <param name="stepMetres">Neighbours within this belong together.</param>
    /// <param name="least">Smallest patch that stays.</param>
    /// <param name="buffers">For scratch.</param>
    public static void Drop(
        Span<float> heights,
        int rows,
        int columns,
        float stepMetres,
        int least,
        SweepBuffers buffers
    )
    {
        int size = rows * columns;
        bool[] done = buffers.Marks(size);
        int[] patch = buffers.Patch(size);
        unchecked
        {
            // Neighbours are tested against the picture's edges.
            for (int start = 0; start < size; start++)
            {
                if (done[start] || float.IsNaN(heights[start]))
                {
                    continue;
                }

                int count = 0;
                patch[count++] = start;
                done[start] = true;
                for (int next = 0; next < count; next++)
                {
                    int at = patch[next];
                    float own = heights[at];
                    int column = at % columns;
                    Join(heights, done, patch, ref count, own, stepMetres, column > 0 ? at - 1 : -1);
                    Join(heights, done, patch, ref count, own, stepMetres, column < columns - 1 ? at + 1 : -1);
                    Join(heights, done, patch, ref count, own, stepMetres, at - columns);
                    Join(heights, done, patch, ref count, own, stepMetres, at + columns < size ? at + columns : -1);
                }

                for (int next = 0; count < least && next < count; next++)
                {
                    heights[patch[next]] = float.NaN;
                }
            }
        }
    }

    private static void Join(
        ReadOnlySpan<float> heights,
        bool[] done,
        int[] patch,
        ref int count,
        float own,
        float step,
        int at
    )
    {
        // NaN compares false: unknown heights join nothing.
        if (at >= 0 && !done[at] && Math.Abs(heights[at] - own) <= step)
        {
            done[at] = true;
            patch[count++] = at;
        }
    }
}
