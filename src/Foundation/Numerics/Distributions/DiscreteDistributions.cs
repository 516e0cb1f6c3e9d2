namespace Hillrow.Numerics.Distributions;

/// <summary>Binomial distribution: trials ≥ 0, probability in 0..1.</summary>
public static class BinomialDistribution
{
    public static double Probability(int successes, int trials, double probability) =>
        successes < 0 || successes > trials
            ? 0
            : BetaFunctions.BinomialTerm(successes, trials - successes, probability, 1 - probability);

    /// <summary>P(X ≤ successes).</summary>
    public static double LowerTail(int successes, int trials, double probability)
    {
        if (successes < 0)
        {
            return 0;
        }

        return successes >= trials
            ? 1
            : BetaFunctions.Regularized(trials - successes, successes + 1.0, 1 - probability, probability);
    }

    /// <summary>P(X ≥ successes).</summary>
    public static double AtLeast(int successes, int trials, double probability)
    {
        if (successes <= 0)
        {
            return 1;
        }

        return successes > trials
            ? 0
            : BetaFunctions.Regularized(successes, trials - successes + 1.0, probability, 1 - probability);
    }
}

/// <summary>Poisson distribution: mean ≥ 0.</summary>
public static class PoissonDistribution
{
    public static double Probability(int count, double mean) => count < 0 ? 0 : GammaFunctions.PoissonTerm(count, mean);

    /// <summary>P(X ≤ count).</summary>
    public static double LowerTail(int count, double mean) =>
        count < 0 ? 0 : GammaFunctions.UpperRegularized(count + 1.0, mean);

    /// <summary>P(X ≥ count).</summary>
    public static double AtLeast(int count, double mean) =>
        count <= 0 ? 1 : GammaFunctions.LowerRegularized(count, mean);
}

/// <summary>Hypergeometric distribution: marked among a draw of <c>drawn</c> from <c>marked + plain</c>.</summary>
/// <remarks>Source: the three-binomial form of Loader 2000, which keeps digits for large counts.</remarks>
public static class HypergeometricDistribution
{
    public static double Probability(int count, int marked, int plain, int drawn)
    {
        if (count < 0 || count > marked || count > drawn || drawn - count > plain)
        {
            return 0;
        }

        int total = marked + plain;
        if (drawn == 0 || drawn == total)
        {
            return 1;
        }

        double p = (double)drawn / total;
        double q = (double)(total - drawn) / total;
        return BetaFunctions.BinomialTerm(count, marked - count, p, q)
            * BetaFunctions.BinomialTerm(drawn - count, plain - drawn + count, p, q)
            / BetaFunctions.BinomialTerm(drawn, total - drawn, p, q);
    }
}
