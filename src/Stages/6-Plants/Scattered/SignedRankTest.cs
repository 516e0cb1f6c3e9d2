namespace Hillrow.Plants;

/// <summary>Whether gains at several places are more than chance: the signed ranks of their sizes, exact.</summary>
/// <remarks>F. Wilcoxon 1945, doi 10.2307/3001968. Equal sizes share their mean rank; zeros are left out.</remarks>
internal static class SignedRankTest
{
    /// <summary>Chance of a sum of ranks of gains this large or larger when every sign is a toss; 1 without any gain.</summary>
    public static double ChanceOfGain(IReadOnlyList<double> gains)
    {
        double[] sizes = [.. gains.Where(gain => gain != 0).Select(Math.Abs).Order()];
        if (sizes.Length == 0)
        {
            return 1;
        }

        // Twice the ranks, so that means of two are whole numbers.
        int TwiceRank(double size)
        {
            int first = Array.IndexOf(sizes, size);
            int last = Array.LastIndexOf(sizes, size);
            return first + last + 2;
        }

        int observed = gains.Where(gain => gain > 0).Sum(gain => TwiceRank(gain));
        double[] ways = new double[sizes.Sum(TwiceRank) + 1];
        ways[0] = 1;
        foreach (double size in sizes)
        {
            int rank = TwiceRank(size);
            for (int sum = ways.Length - 1; sum >= rank; sum--)
            {
                ways[sum] += ways[sum - rank];
            }
        }

        return ways.Skip(observed).Sum() / Math.Pow(2, sizes.Length);
    }
}
