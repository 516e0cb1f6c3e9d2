using System.Numerics;
using Hillrow.Imaging;

namespace Hillrow.Checks;

/// <summary>The next coarser level the plain way: the judge of the fast one.</summary>
public static class PlainOverview
{
    /// <summary>⌈rows/2⌉ × ⌈columns/2⌉ cells.</summary>
    public static T[] Of<T>(
        ReadOnlySpan<T> fine,
        int rows,
        int columns,
        OverviewMethod method,
        Func<T, bool> isMissing,
        T? noData
    )
        where T : unmanaged, INumber<T>
    {
        int coarseRows = (rows + 1) / 2;
        int coarseColumns = (columns + 1) / 2;
        T[] coarse = new T[coarseRows * coarseColumns];
        for (int row = 0; row < coarseRows; row++)
        {
            for (int column = 0; column < coarseColumns; column++)
            {
                T corner = fine[(2 * row * columns) + (2 * column)];
                List<T> upper = [];
                List<T> lower = [];
                for (int south = 0; south < 2; south++)
                {
                    for (int east = 0; east < 2; east++)
                    {
                        int fineRow = (2 * row) + south;
                        int fineColumn = (2 * column) + east;
                        if (
                            fineRow < rows
                            && fineColumn < columns
                            && fine[(fineRow * columns) + fineColumn] is var value
                            && !isMissing(value)
                        )
                        {
                            (south == 0 ? upper : lower).Add(value);
                        }
                    }
                }

                coarse[(row * coarseColumns) + column] =
                    method == OverviewMethod.Nearest ? corner
                    : upper.Count + lower.Count == 0 ? noData ?? corner
                    : Mean(upper, lower);
            }
        }

        return coarse;
    }

    private static T Mean<T>(List<T> upper, List<T> lower)
        where T : unmanaged, INumber<T>
    {
        int count = upper.Count + lower.Count;
        if (SampleTypes.IsFloatingPoint(SampleTypes.Of<T>()))
        {
            // Pairs first, in the type itself, as the fast one rounds.
            return (Sum(upper) + Sum(lower)) / T.CreateChecked(count);
        }

        double exact = upper.Concat(lower).Sum(double.CreateChecked) / count;
        return T.CreateChecked(Math.Floor(exact + 0.5));

        static T Sum(List<T> values) => values.Aggregate(T.Zero, static (sum, value) => sum + value);
    }
}
