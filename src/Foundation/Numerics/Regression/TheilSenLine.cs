using Hillrow.Numerics.Statistics;

namespace Hillrow.Numerics.Regression;

/// <summary>A straight line that up to 29 % wrong points cannot turn: the median of all pairwise slopes.</summary>
/// <param name="Intercept">Median y − slope · median x.</param>
public sealed record TheilSenLine(double Slope, double Intercept)
{
    /// <summary>Fits the line; the intercept is median(y) − slope · median(x).</summary>
    /// <exception cref="ArgumentException">Lengths differ, values not finite, or all x equal.</exception>
    /// <remarks>Sources: Sen 1968 (doi 10.1080/01621459.1968.10480934); intercept: Conover 1980. O(n²) time and memory: for up to some thousand points.</remarks>
    public static TheilSenLine Fit(ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        Finite.CheckSameLength(x.Length, y.Length, "x, y");
        Finite.Check(x, nameof(x));
        Finite.Check(y, nameof(y));
        List<double> slopes = [];
        for (int i = 0; i < x.Length; i++)
        {
            for (int j = i + 1; j < x.Length; j++)
            {
                if (!x[i].Equals(x[j]))
                {
                    slopes.Add((y[j] - y[i]) / (x[j] - x[i]));
                }
            }
        }

        if (slopes.Count == 0)
        {
            throw new ArgumentException("A line needs at least two different x.", nameof(x));
        }

        double slope = Quantiles.MedianInPlace(System.Runtime.InteropServices.CollectionsMarshal.AsSpan(slopes));
        return new TheilSenLine(slope, Quantiles.Median(y) - (slope * Quantiles.Median(x)));
    }
}
