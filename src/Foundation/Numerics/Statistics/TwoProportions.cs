using Hillrow.Numerics.Distributions;

namespace Hillrow.Numerics.Statistics;

/// <summary>Two proportions, first less second: tests and intervals.</summary>
/// <remarks>
/// Sources: Pearson's chi-squared; Yates 1934 (doi 10.2307/2983604); Fisher's exact test with the conditional
/// likelihood odds ratio (Fisher 1935, doi 10.2307/2342435); Newcombe 1998 (doi
/// 10.1002/(SICI)1097-0258(19980430)17:8&lt;873::AID-SIM779&gt;3.0.CO;2-I), method 10.
/// </remarks>
public sealed record TwoProportions
{
    /// <exception cref="ArgumentOutOfRangeException">A count outside 0..trials, or no trials.</exception>
    public TwoProportions(int successes1, int trials1, int successes2, int trials2)
    {
        if (
            trials1 < 1
            || trials2 < 1
            || successes1 < 0
            || successes2 < 0
            || successes1 > trials1
            || successes2 > trials2
        )
        {
            throw new ArgumentOutOfRangeException(
                nameof(successes1),
                $"{successes1} of {trials1} and {successes2} of {trials2} are not two proportions."
            );
        }

        (Successes1, Trials1, Successes2, Trials2) = (successes1, trials1, successes2, trials2);
    }

    public int Successes1 { get; }

    public int Trials1 { get; }

    public int Successes2 { get; }

    public int Trials2 { get; }

    public double Proportion1 => (double)Successes1 / Trials1;

    public double Proportion2 => (double)Successes2 / Trials2;

    public double Difference => Proportion1 - Proportion2;

    /// <summary>z with the pooled proportion; its square is the uncorrected chi-squared. NaN when all or none succeed.</summary>
    public double PooledZ
    {
        get
        {
            double pooled = ((double)Successes1 + Successes2) / ((double)Trials1 + Trials2);
            return Difference / Math.Sqrt(pooled * (1 - pooled) * InverseCounts);
        }
    }

    private double InverseCounts => (1.0 / Trials1) + (1.0 / Trials2);

    /// <summary>Chi-squared without correction, 1 degree of freedom.</summary>
    public TestResult ChiSquared() => Chi(PooledZ * PooledZ);

    /// <summary>Chi-squared with Yates's correction, which never overshoots zero.</summary>
    public TestResult ChiSquaredYates()
    {
        double correction = YatesShift();
        double shrunk = Math.Max(0, Math.Abs(Difference) - correction);
        double z = PooledZ / Difference * shrunk;
        return Chi(Difference.Equals(0.0) ? 0 : z * z);
    }

    /// <summary>Wald interval of the difference, in −1..1; with the continuity correction if wanted.</summary>
    public Interval Wald(bool continuityCorrected = false, double confidence = 0.95)
    {
        double z = NormalDistribution.UpperQuantile((1 - confidence) / 2);
        double variance = (Proportion1 * (1 - Proportion1) / Trials1) + (Proportion2 * (1 - Proportion2) / Trials2);
        double reach = (z * Math.Sqrt(variance)) + (continuityCorrected ? YatesShift() : 0);
        return new Interval(Math.Max(-1, Difference - reach), Math.Min(1, Difference + reach));
    }

    /// <summary>Newcombe's interval of the difference from the two Wilson intervals.</summary>
    public Interval Newcombe(double confidence = 0.95)
    {
        Interval first = ProportionInterval.Wilson(Successes1, Trials1, confidence);
        Interval second = ProportionInterval.Wilson(Successes2, Trials2, confidence);
        return new Interval(
            Difference - Math.Sqrt(Square(Proportion1 - first.Low) + Square(second.High - Proportion2)),
            Difference + Math.Sqrt(Square(first.High - Proportion1) + Square(Proportion2 - second.Low))
        );
    }

    /// <summary>Fisher's exact two-sided p: all tables not likelier than the one seen.</summary>
    public double FisherPValue()
    {
        (int low, double[] terms) = Terms();
        double seen = terms[Successes1 - low];
        double sum = 0;
        double all = 0;
        foreach (double term in terms)
        {
            all += term;
            sum += term <= seen * (1 + 1e-7) ? term : 0;
        }

        return Math.Min(1, sum / all);
    }

    /// <summary>The odds ratio that makes the expected count of the noncentral hypergeometric the one seen; 0 or ∞ at the ends.</summary>
    /// <param name="tolerance">Absolute, on the odds ratio or its inverse, whichever is below 1.</param>
    public double ConditionalOddsRatio(double tolerance = 1e-15)
    {
        (int low, double[] terms) = Terms();
        if (terms.Length == 1)
        {
            return double.NaN;
        }

        if (Successes1 == low)
        {
            return 0;
        }

        if (Successes1 == low + terms.Length - 1)
        {
            return double.PositiveInfinity;
        }

        // Sought on 0..1 as the odds or their inverse, whichever lies there.
        bool above = ExpectedCount(low, terms, 0) < Successes1;
        double root = BrentRoot.Find(
            ratio =>
            {
                double odds = Math.Log(Math.Max(ratio, double.Epsilon));
                return ExpectedCount(low, terms, above ? -odds : odds) - Successes1;
            },
            above ? Math.BitIncrement(1.0) - 1 : 0,
            1,
            tolerance
        );
        return above ? 1 / root : root;
    }

    private static double ExpectedCount(int low, double[] terms, double logOdds)
    {
        double highest = double.NegativeInfinity;
        for (int i = 0; i < terms.Length; i++)
        {
            highest = Math.Max(highest, Math.Log(terms[i]) + (i * logOdds));
        }

        double sum = 0;
        double weighted = 0;
        for (int i = 0; i < terms.Length; i++)
        {
            double term = Math.Exp(Math.Log(terms[i]) + (i * logOdds) - highest);
            sum += term;
            weighted += term * (low + i);
        }

        return weighted / sum;
    }

    private static TestResult Chi(double statistic) =>
        new(statistic, double.IsNaN(statistic) ? double.NaN : ChiSquaredDistribution.UpperTail(statistic, 1));

    private static double Square(double value) => value * value;

    private double YatesShift() => Math.Min(0.5 * InverseCounts, Math.Abs(Difference));

    private (int Low, double[] Terms) Terms()
    {
        int drawn = Successes1 + Successes2;
        int low = Math.Max(0, drawn - Trials2);
        int high = Math.Min(drawn, Trials1);
        double[] terms = new double[high - low + 1];
        for (int i = 0; i < terms.Length; i++)
        {
            terms[i] = HypergeometricDistribution.Probability(low + i, Trials1, Trials2, drawn);
        }

        return (low, terms);
    }
}
