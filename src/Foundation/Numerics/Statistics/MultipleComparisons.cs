using Hillrow.Numerics.Regression;

namespace Hillrow.Numerics.Statistics;

/// <summary>p-values adjusted for how many were looked at. Inputs in 0..1, any order; outputs in the same order.</summary>
public static class MultipleComparisons
{
    /// <summary>False discovery rate, independent or positively dependent tests.</summary>
    /// <remarks>Source: Benjamini &amp; Hochberg 1995 (doi 10.1111/j.2517-6161.1995.tb02031.x).</remarks>
    public static double[] BenjaminiHochberg(ReadOnlySpan<double> p) => StepUp(p, 1);

    /// <summary>False discovery rate under any dependence.</summary>
    /// <remarks>Source: Benjamini &amp; Yekutieli 2001 (doi 10.1214/aos/1013699998).</remarks>
    public static double[] BenjaminiYekutieli(ReadOnlySpan<double> p)
    {
        double harmonic = 0;
        for (int i = p.Length; i >= 1; i--)
        {
            harmonic += 1.0 / i;
        }

        return StepUp(p, harmonic);
    }

    /// <summary>Family-wise error, any dependence.</summary>
    /// <remarks>Source: Holm 1979, Scand. J. Statist. 6:65–70.</remarks>
    public static double[] Holm(ReadOnlySpan<double> p)
    {
        int[] order = Order(p);
        double[] adjusted = new double[p.Length];
        double highest = 0;
        for (int rank = 0; rank < order.Length; rank++)
        {
            highest = Math.Max(highest, Math.Min(1, p[order[rank]] * (order.Length - rank)));
            adjusted[order[rank]] = highest;
        }

        return adjusted;
    }

    /// <summary>Family-wise error by p · n.</summary>
    public static double[] Bonferroni(ReadOnlySpan<double> p)
    {
        Order(p);
        double[] adjusted = new double[p.Length];
        for (int i = 0; i < p.Length; i++)
        {
            adjusted[i] = Math.Min(1, p[i] * p.Length);
        }

        return adjusted;
    }

    private static double[] StepUp(ReadOnlySpan<double> p, double factor)
    {
        int[] order = Order(p);
        double[] adjusted = new double[p.Length];
        double lowest = 1;
        for (int rank = order.Length - 1; rank >= 0; rank--)
        {
            lowest = Math.Min(lowest, factor * order.Length / (rank + 1) * p[order[rank]]);
            adjusted[order[rank]] = lowest;
        }

        return adjusted;
    }

    private static int[] Order(ReadOnlySpan<double> p)
    {
        Finite.Check(p, nameof(p));
        double[] sorted = p.ToArray();
        int[] order = new int[p.Length];
        for (int i = 0; i < order.Length; i++)
        {
            order[i] = i;
            if (p[i] is < 0 or > 1)
            {
                throw new ArgumentException($"p[{i}] is {p[i]}; a p-value lies in 0..1.", nameof(p));
            }
        }

        Array.Sort(sorted, order);
        return order;
    }
}
