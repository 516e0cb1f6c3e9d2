namespace Hillrow.Mapping;

/// <summary>Means over square windows of a picture, whatever their size; NaN counts as not there.</summary>
internal sealed class WindowSums
{
    private readonly int rows;
    private readonly int columns;
    private readonly double[] sums;
    private readonly int[] counts;

    public WindowSums(ReadOnlySpan<float> picture, int rows, int columns)
    {
        (this.rows, this.columns) = (rows, columns);
        sums = new double[(rows + 1) * (columns + 1)];
        counts = new int[sums.Length];
        for (int row = 0; row < rows; row++)
        {
            double sum = 0;
            int count = 0;
            for (int column = 0; column < columns; column++)
            {
                float value = picture[(row * columns) + column];
                sum += float.IsNaN(value) ? 0 : value;
                count += float.IsNaN(value) ? 0 : 1;
                int at = ((row + 1) * (columns + 1)) + column + 1;
                sums[at] = sums[at - columns - 1] + sum;
                counts[at] = counts[at - columns - 1] + count;
            }
        }
    }

    /// <summary>Mean of the cells up to so many rows and columns away, inside the picture; NaN when none is known.</summary>
    public double Mean(int row, int column, int half)
    {
        int top = Math.Max(0, row - half) * (columns + 1);
        int bottom = Math.Min(rows, row + half + 1) * (columns + 1);
        int left = Math.Max(0, column - half);
        int right = Math.Min(columns, column + half + 1);
        int count = counts[bottom + right] - counts[bottom + left] - counts[top + right] + counts[top + left];
        return count == 0
            ? double.NaN
            : (sums[bottom + right] - sums[bottom + left] - sums[top + right] + sums[top + left]) / count;
    }
}
