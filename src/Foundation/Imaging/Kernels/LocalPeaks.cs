using System.Numerics;

namespace Hillrow.Imaging;

/// <summary>One local maximum.</summary>
public readonly record struct PeakPixel(int Row, int Column);

/// <summary>Finds pixels that are the largest of their neighbourhood.</summary>
public static class LocalPeaks
{
    /// <summary>Pixels above the threshold that no other exceeds within a square of ±distance; row by row.</summary>
    /// <param name="source">Rows × columns, row-major, no NaN.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="distancePixels">At least 1; borders count, outside is left out.</param>
    /// <param name="threshold">Peaks lie strictly above it.</param>
    /// <remarks>Of equal peaks nearer than the distance the first in row order stays.</remarks>
    public static IReadOnlyList<PeakPixel> Find<T>(
        ReadOnlySpan<T> source,
        int rows,
        int columns,
        int distancePixels,
        double threshold
    )
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        Shapes.Check(source, rows, columns);
        ArgumentOutOfRangeException.ThrowIfLessThan(distancePixels, 1);
        T[] largest = new T[source.Length];
        GreyMorphology.Dilate(source, rows, columns, StructuringElement.Square((2 * distancePixels) + 1), largest);
        List<PeakPixel> peaks = [];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                int index = (row * columns) + column;
                if (
                    source[index] == largest[index]
                    && double.CreateChecked(source[index]) > threshold
                    && !IsNearEarlier(peaks, row, column, distancePixels)
                )
                {
                    peaks.Add(new PeakPixel(row, column));
                }
            }
        }

        return peaks;
    }

    private static bool IsNearEarlier(List<PeakPixel> peaks, int row, int column, int distance)
    {
        for (int index = peaks.Count - 1; index >= 0 && row - peaks[index].Row <= distance; index--)
        {
            if (Math.Abs(column - peaks[index].Column) <= distance)
            {
                return true;
            }
        }

        return false;
    }
}
