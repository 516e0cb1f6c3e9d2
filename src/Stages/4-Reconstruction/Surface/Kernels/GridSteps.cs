namespace Hillrow.Reconstruction;

/// <summary>Distances on a grid.</summary>
internal static class GridSteps
{
    /// <summary>Steps (king's moves) to the nearest cell that is seen; huge where none is.</summary>
    public static int[] ToNearest(Func<int, bool> isSeen, int rows, int columns)
    {
        int[] steps = new int[rows * columns];
        for (int at = 0; at < steps.Length; at++)
        {
            steps[at] = isSeen(at) ? 0 : int.MaxValue / 2;
        }

        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                int at = (row * columns) + column;
                int best = steps[at];
                best = column > 0 ? Math.Min(best, steps[at - 1] + 1) : best;
                if (row > 0)
                {
                    best = Math.Min(best, steps[at - columns] + 1);
                    best = column > 0 ? Math.Min(best, steps[at - columns - 1] + 1) : best;
                    best = column < columns - 1 ? Math.Min(best, steps[at - columns + 1] + 1) : best;
                }

                steps[at] = best;
            }
        }

        for (int row = rows - 1; row >= 0; row--)
        {
            for (int column = columns - 1; column >= 0; column--)
            {
                int at = (row * columns) + column;
                int best = steps[at];
                best = column < columns - 1 ? Math.Min(best, steps[at + 1] + 1) : best;
                if (row < rows - 1)
                {
                    best = Math.Min(best, steps[at + columns] + 1);
                    best = column > 0 ? Math.Min(best, steps[at + columns - 1] + 1) : best;
                    best = column < columns - 1 ? Math.Min(best, steps[at + columns + 1] + 1) : best;
                }

                steps[at] = best;
            }
        }

        return steps;
    }
}
