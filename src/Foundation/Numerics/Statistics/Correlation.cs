using Hillrow.Numerics.Distributions;
using Hillrow.Numerics.Regression;

namespace Hillrow.Numerics.Statistics;

/// <summary>Correlation of two equally long series; NaN when one is constant.</summary>
public static class Correlation
{
    /// <summary>Pearson's r.</summary>
    /// <exception cref="ArgumentException">Lengths differ or a value is not finite.</exception>
    public static double Pearson(ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        Check(x, y);
        DoubleDouble meanX = DoubleDouble.Total(x) / x.Length;
        DoubleDouble meanY = DoubleDouble.Total(y) / y.Length;
        double squareX = 0;
        double squareY = 0;
        double product = 0;
        for (int i = 0; i < x.Length; i++)
        {
            double dx = (x[i] - meanX).ToDouble();
            double dy = (y[i] - meanY).ToDouble();
            squareX += dx * dx;
            squareY += dy * dy;
            product += dx * dy;
        }

        return Math.Clamp(product / (Math.Sqrt(squareX) * Math.Sqrt(squareY)), -1, 1);
    }

    /// <summary>Two-sided p of r = 0 for normal data: t = r sqrt((n − 2) / (1 − r²)).</summary>
    public static double PearsonPValue(double r, int count)
    {
        double rest = (1 - r) * (1 + r);
        return rest <= 0 ? 0 : StudentTDistribution.TwoTails(r * Math.Sqrt((count - 2) / rest), count - 2);
    }

    /// <summary>Spearman's rank correlation: Pearson's r of the mean ranks.</summary>
    public static double Spearman(ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        Check(x, y);
        return Pearson(Ranks.Of(x), Ranks.Of(y));
    }

    /// <summary>Kendall's tau-b, which corrects for ties; O(n log n).</summary>
    /// <remarks>Sources: Kendall 1945 (doi 10.1093/biomet/33.3.239); counting by merge sort, Knight 1966 (doi 10.1080/01621459.1966.10480879).</remarks>
    public static double KendallTauB(ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        Check(x, y);
        int n = x.Length;
        (double X, double Y)[] pairs = new (double, double)[n];
        for (int i = 0; i < n; i++)
        {
            pairs[i] = (x[i], y[i]);
        }

        Array.Sort(pairs);
        double all = Pairs(n);
        double tiedX = 0;
        double tiedBoth = 0;
        int runX = 1;
        int runBoth = 1;
        for (int i = 1; i <= n; i++)
        {
            bool sameX = i < n && pairs[i].X.Equals(pairs[i - 1].X);
            bool sameBoth = sameX && pairs[i].Y.Equals(pairs[i - 1].Y);
            tiedX += sameX ? 0 : Pairs(runX);
            tiedBoth += sameBoth ? 0 : Pairs(runBoth);
            runX = sameX ? runX + 1 : 1;
            runBoth = sameBoth ? runBoth + 1 : 1;
        }

        double[] second = Array.ConvertAll(pairs, pair => pair.Y);
        double discordant = Inversions(second, new double[n]);
        double tiedY = 0;
        int runY = 1;
        for (int i = 1; i <= n; i++)
        {
            bool same = i < n && second[i].Equals(second[i - 1]);
            tiedY += same ? 0 : Pairs(runY);
            runY = same ? runY + 1 : 1;
        }

        double difference = all - tiedX - tiedY + tiedBoth - (2 * discordant);
        return difference / (Math.Sqrt(all - tiedX) * Math.Sqrt(all - tiedY));
    }

    private static double Pairs(double count) => count * (count - 1) / 2;

    /// <summary>Sorts and counts exchanges.</summary>
    private static double Inversions(Span<double> values, Span<double> scratch)
    {
        if (values.Length < 2)
        {
            return 0;
        }

        int middle = values.Length / 2;
        double count = Inversions(values[..middle], scratch) + Inversions(values[middle..], scratch);
        int left = 0;
        int right = middle;
        for (int i = 0; i < values.Length; i++)
        {
            if (right >= values.Length || (left < middle && values[left] <= values[right]))
            {
                scratch[i] = values[left++];
            }
            else
            {
                count += middle - left;
                scratch[i] = values[right++];
            }
        }

        scratch[..values.Length].CopyTo(values);
        return count;
    }

    private static void Check(ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        Finite.CheckSameLength(x.Length, y.Length, "x, y");
        Finite.Check(x, nameof(x));
        Finite.Check(y, nameof(y));
    }
}
