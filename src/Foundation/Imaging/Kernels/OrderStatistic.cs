using System.Numerics;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Imaging;

/// <summary>The k-th smallest of some values, and percentiles.</summary>
public static class OrderStatistic
{
    /// <summary>The value that would stand at <paramref name="rank"/> (0 is the smallest); reorders the values. NaN is largest.</summary>
    /// <remarks>C. A. R. Hoare 1961, Algorithm 65, doi 10.1145/366622.366647, with the middle of three as pivot.</remarks>
    public static T Select<T>(Span<T> values, int rank)
        where T : IFloatingPointIeee754<T>
    {
        ArgumentOutOfRangeException.ThrowIfNegative(rank);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(rank, values.Length);
        int end = values.Length;
        for (int index = 0; index < end; index++)
        {
            while (index < end && T.IsNaN(values[index]))
            {
                end--;
                (values[index], values[end]) = (values[end], values[index]);
            }
        }

        if (rank >= end)
        {
            return values[rank];
        }

        int low = 0;
        int high = end - 1;
        while (low < high)
        {
            T pivot = MiddleOf(values[low], values[low + ((high - low) / 2)], values[high]);
            int i = low;
            int j = high;
            while (i <= j)
            {
                while (values[i] < pivot)
                {
                    i++;
                }

                while (values[j] > pivot)
                {
                    j--;
                }

                if (i <= j)
                {
                    (values[i], values[j]) = (values[j], values[i]);
                    i++;
                    j--;
                }
            }

            if (rank <= j)
            {
                high = j;
            }
            else if (rank >= i)
            {
                low = i;
            }
            else
            {
                break;
            }
        }

        return values[rank];
    }

    /// <summary>Percentiles by straight lines between order statistics (Hyndman and Fan 1996, type 7); NaN left out.</summary>
    /// <param name="values">Any order; unchanged.</param>
    /// <param name="percents">0 … 100 each.</param>
    /// <param name="result">As many; NaN when every value is NaN or there is none.</param>
    public static void Percentiles<T>(ReadOnlySpan<T> values, ReadOnlySpan<double> percents, Span<double> result)
        where T : IFloatingPointIeee754<T>
    {
        double[] sorted = new double[values.Length];
        int count = 0;
        foreach (T value in values)
        {
            if (!T.IsNaN(value))
            {
                sorted[count++] = double.CreateChecked(value);
            }
        }

        Array.Sort(sorted, 0, count);
        for (int index = 0; index < percents.Length; index++)
        {
            if (!(percents[index] is >= 0 and <= 100))
            {
                throw new ArgumentOutOfRangeException(
                    nameof(percents),
                    percents[index],
                    "A percentile is from 0 to 100."
                );
            }

            result[index] =
                count == 0 ? double.NaN : Quantiles.QuantileOfSorted(sorted.AsSpan(0, count), percents[index] / 100);
        }
    }

    private static T MiddleOf<T>(T a, T b, T c)
        where T : IFloatingPointIeee754<T> =>
        a < b
            ? (
                b < c ? b
                : a < c ? c
                : a
            )
            : (
                a < c ? a
                : b < c ? c
                : b
            );
}
