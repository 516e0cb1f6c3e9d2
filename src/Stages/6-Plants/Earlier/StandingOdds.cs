using Hillrow.Numerics.Statistics;

namespace Hillrow.Plants;

/// <summary>
/// How likely a plant that was known and is not found is gone: from how often this block's standing plants are found, and
/// from how its place looks beside places of plants that were found again and beside bare places.
/// </summary>
/// <param name="FoundShare">Chance that a standing plant is found, from the block's own found and missed.</param>
/// <param name="StandingLook">Usual look of a place that a plant stands on.</param>
/// <param name="StandingSpread">Its standard deviation.</param>
/// <param name="BareLook">Usual look of a bare place.</param>
/// <param name="BareSpread">Its standard deviation.</param>
internal readonly record struct StandingOdds(
    double FoundShare,
    double StandingLook,
    double StandingSpread,
    double BareLook,
    double BareSpread
)
{
    // Share of plants lost from one survey to the next before anything is looked at (common practice, no source).
    private const double LostShare = 0.03;

    // Who stands and is missed seldom looks as plants usually do: three in ten look like anything between bare and green,
    // leafless, shaded or below another one (own assumption; chosen with one street of decision 40's tuning places in view).
    private const double OddShare = 0.3;

    /// <summary>Chance that the plant is gone, 0 … 1.</summary>
    /// <param name="look">Of its place, in the unit of the looks.</param>
    public double ChanceGone(double look)
    {
        // Greener than plants usually are is no sign of their absence, nor is barer than bare one of their presence.
        double clipped = Math.Clamp(look, BareLook, StandingLook);
        double span = 2 * (StandingLook - BareLook);
        double standing = ((1 - OddShare) * Density(clipped, StandingLook, StandingSpread)) + (OddShare / span);
        double bare = Density(clipped, BareLook, BareSpread);
        double gone = LostShare * bare;
        double missed = (1 - LostShare) * (1 - FoundShare) * standing;
        return gone + missed > 0 ? gone / (gone + missed) : 0;
    }

    /// <param name="foundLooks">Of places whose plant was found again.</param>
    /// <param name="missedLooks">Of places whose plant was not.</param>
    /// <param name="bareLooks">Of places without canopy.</param>
    /// <param name="leastSpread">The looks' own noise.</param>
    /// <returns>Null where too little was found again, or is bare, to tell the two apart.</returns>
    public static StandingOdds? Of(
        IReadOnlyList<double> foundLooks,
        IReadOnlyList<double> missedLooks,
        IReadOnlyList<double> bareLooks,
        double leastSpread
    )
    {
        if (foundLooks.Count < 8 || bareLooks.Count < 8)
        {
            return null;
        }

        (double standing, double standingSpread) = Usual(foundLooks, leastSpread);
        (double bare, double bareSpread) = Usual(bareLooks, leastSpread);
        if (standing - bare < standingSpread + bareSpread)
        {
            return null;
        }

        // Found and missed are counted among the standing; who stands among the missed depends on the share in turn.
        double share = (foundLooks.Count + 0.5) / (foundLooks.Count + missedLooks.Count + 1.0);
        StandingOdds odds = new(share, standing, standingSpread, bare, bareSpread);
        for (int pass = 0; pass < 20; pass++)
        {
            StandingOdds now = odds;
            double stand = missedLooks.Sum(look => 1 - now.ChanceGone(look));
            odds = now with { FoundShare = (foundLooks.Count + 0.5) / (foundLooks.Count + stand + 1) };
        }

        return odds;
    }

    private static (double Middle, double Spread) Usual(IReadOnlyList<double> looks, double least)
    {
        double middle = Quantiles.Median([.. looks]);
        double off = 1.4826 * Quantiles.Median([.. looks.Select(look => Math.Abs(look - middle))]);
        return (middle, Math.Max(least, off));
    }

    private static double Density(double value, double middle, double spread)
    {
        double z = (value - middle) / spread;
        return Math.Exp(-0.5 * z * z) / (spread * Math.Sqrt(Math.Tau));
    }
}
