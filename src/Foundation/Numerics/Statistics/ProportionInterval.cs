using Hillrow.Numerics.Distributions;

namespace Hillrow.Numerics.Statistics;

/// <summary>A confidence interval.</summary>
public readonly record struct Interval(double Low, double High);

/// <summary>Intervals for one proportion.</summary>
public static class ProportionInterval
{
    /// <summary>Wilson's score interval; real counts are allowed, so that a design effect can shrink them.</summary>
    /// <param name="designEffect">Variance of the sample over that of a simple random one; 1 or more in cluster samples.</param>
    /// <exception cref="ArgumentOutOfRangeException">Successes outside 0..trials, no trials, or a design effect not above 0.</exception>
    /// <remarks>Source: Wilson 1927 (doi 10.1080/01621459.1927.10502953); effective count: Korn &amp; Graubard 1998, Survey Methodology 24.</remarks>
    public static Interval Wilson(double successes, double trials, double confidence = 0.95, double designEffect = 1)
    {
        Check(successes, trials, designEffect);
        double n = trials / designEffect;
        double p = successes / trials;
        double z = NormalDistribution.UpperQuantile((1 - confidence) / 2);
        double square = z * z;
        double centre = p + (square / (2 * n));
        double reach = z * Math.Sqrt((p * (1 - p) / n) + (square / (4 * n * n)));
        double scale = 1 + (square / n);
        return new Interval(
            successes <= 0 ? 0 : Math.Max(0, (centre - reach) / scale),
            successes >= trials ? 1 : Math.Min(1, (centre + reach) / scale)
        );
    }

    /// <summary>Clopper–Pearson interval, never shorter than promised; real counts through the beta form.</summary>
    /// <exception cref="ArgumentOutOfRangeException">As <see cref="Wilson"/>.</exception>
    /// <remarks>Source: Clopper &amp; Pearson 1934 (doi 10.1093/biomet/26.4.404).</remarks>
    public static Interval ClopperPearson(
        double successes,
        double trials,
        double confidence = 0.95,
        double designEffect = 1
    )
    {
        Check(successes, trials, designEffect);
        double yes = successes / designEffect;
        double no = (trials - successes) / designEffect;
        double tail = (1 - confidence) / 2;
        return new Interval(
            yes <= 0 ? 0 : BetaDistribution.Quantile(tail, yes, no + 1),
            no <= 0 ? 1 : BetaDistribution.UpperQuantile(tail, yes + 1, no)
        );
    }

    private static void Check(double successes, double trials, double designEffect)
    {
        if (!(trials > 0) || !(successes >= 0) || successes > trials)
        {
            throw new ArgumentOutOfRangeException(nameof(successes), $"{successes} of {trials} is no proportion.");
        }

        if (!(designEffect > 0))
        {
            throw new ArgumentOutOfRangeException(nameof(designEffect), designEffect, "A design effect lies above 0.");
        }
    }
}
