using Hillrow.Numerics.Regression;

namespace Hillrow.Numerics.Statistics;

/// <summary>Mean, sample standard deviation (n − 1) and lag-1 autocorrelation to certified digits.</summary>
/// <param name="Lag1Autocorrelation">Σ(xᵢ − x̄)(xᵢ₊₁ − x̄) / Σ(xᵢ − x̄)²; NaN for constant data.</param>
public sealed record UnivariateSummary(int Count, double Mean, double StandardDeviation, double Lag1Autocorrelation)
{
    /// <summary>Summarises the values in double-double arithmetic.</summary>
    /// <exception cref="ArgumentException">No values.</exception>
    /// <remarks>Source: definitions of NIST StRD, univariate; Box &amp; Jenkins 1976 for the autocorrelation.</remarks>
    public static UnivariateSummary Of(ReadOnlySpan<double> values)
    {
        if (values.IsEmpty)
        {
            throw new ArgumentException("No values to summarise.", nameof(values));
        }

        DoubleDouble mean = DoubleDouble.Total(values) / values.Length;
        DoubleDouble squares = DoubleDouble.Zero;
        DoubleDouble products = DoubleDouble.Zero;
        DoubleDouble previous = DoubleDouble.Zero;
        for (int i = 0; i < values.Length; i++)
        {
            DoubleDouble difference = values[i] - mean;
            squares += difference * difference;
            products += i > 0 ? previous * difference : DoubleDouble.Zero;
            previous = difference;
        }

        return new UnivariateSummary(
            values.Length,
            mean.ToDouble(),
            Math.Sqrt(squares.ToDouble() / (values.Length - 1)),
            (products / squares).ToDouble()
        );
    }
}
