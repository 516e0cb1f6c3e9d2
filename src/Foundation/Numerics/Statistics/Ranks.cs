namespace Hillrow.Numerics.Statistics;

/// <summary>Ranks from 1, ties sharing their mean rank.</summary>
public static class Ranks
{
    /// <exception cref="ArgumentException">A value is not finite.</exception>
    public static double[] Of(ReadOnlySpan<double> values) => Of(values, out _);

    /// <param name="tieSum">Receives Σ(t³ − t) over groups of t equal values.</param>
    public static double[] Of(ReadOnlySpan<double> values, out double tieSum)
    {
        Regression.Finite.Check(values, nameof(values));
        double[] sorted = values.ToArray();
        int[] order = new int[values.Length];
        for (int i = 0; i < order.Length; i++)
        {
            order[i] = i;
        }

        Array.Sort(sorted, order);
        double[] ranks = new double[values.Length];
        tieSum = 0;
        int start = 0;
        while (start < sorted.Length)
        {
            int end = start;
            while (end + 1 < sorted.Length && sorted[end + 1].Equals(sorted[start]))
            {
                end++;
            }

            double size = end - start + 1;
            tieSum += (size * size * size) - size;
            for (int i = start; i <= end; i++)
            {
                ranks[order[i]] = 1 + (((double)start + end) / 2);
            }

            start = end + 1;
        }

        return ranks;
    }
}
