using Hillrow.Earth;
using Hillrow.Numerics.SpatialStatistics;

namespace Hillrow.Findings;

/// <summary>
/// How likely a plant began to decline between two surveys, given its own departures at both and what its neighbours
/// say of the harm that stood around it.
/// </summary>
/// <remarks>
/// The harm around a plant is the weighted mean of its neighbours' lacks, never its own, and in a patch whose edge could
/// be fitted mostly what that curve says; the plant suffers from none to
/// twice of it, the same share at both dates, with room for differences of its own. Its measured departures scatter
/// around that as a Student t in two dimensions (heavy tails: a badly measured plant; Lange, Little &amp; Taylor 1989,
/// doi 10.1080/01621459.1989.10478852), whose spread and correlation between the dates are those of the block's sound
/// plants. The chance is the share of the likelihood where the plant stood above the threshold then and below it now. Constants were chosen on
/// modelled estates 9001 to 9012 and tried on 9101 to 9112, which judge nothing.
/// </remarks>
internal static class PassingChance
{
    private const int Steps = 80;
    private const double MostShare = 2;

    /// <summary>Of the harm around: what a plant's own case may differ by.</summary>
    private const double OwnSpread = 0.3;
    private const double Freedom = 4;

    /// <summary>Width of the neighbours' weights, of the block's reach.</summary>
    private const double KernelShare = 0.35;

    /// <summary>What the front says against what the nearest say: a real patch is not quite round.</summary>
    private const double FrontShare = 0.8;

    /// <summary>A front speaks for places where it takes at least this share of its depth.</summary>
    private const double Edge = 0.05;

    /// <summary>A neighbour says no more than this, so that one bad measurement does not speak for all.</summary>
    private const double MostLack = 14;
    private const double LeastLack = -3;

    /// <summary>Around sound plants there is less harm than this.</summary>
    private const double SoundHarm = 1;
    private const int LeastSound = 30;
    private const double OneSigmaShare = 0.6827;

    /// <param name="places">Judged at both surveys, one block.</param>
    /// <param name="before">Departures at the earlier survey, negative is worse.</param>
    /// <param name="now">At the later one.</param>
    /// <param name="fronts">Edges fitted in this block.</param>
    /// <param name="settings">Threshold and neighbours.</param>
    /// <returns>0 … 1 by plant; all 0 where too few plants stand to say anything.</returns>
    public static double[] Of(
        GridPoint[] places,
        double[] before,
        double[] now,
        IReadOnlyList<FrontShape> fronts,
        FindingsSettings settings
    )
    {
        double[] chances = new double[places.Length];
        NeighbourReach reach = NeighbourReach.Of(
            [.. places.Select(place => place.EastingMetres)],
            [.. places.Select(place => place.NorthingMetres)],
            settings
        );
        if (reach.Neighbours is not { } neighbours)
        {
            return chances;
        }

        double[] harmBefore = Harm(neighbours, places, before, KernelShare * reach.Metres);
        double[] harmNow = Harm(neighbours, places, now, KernelShare * reach.Metres);
        foreach (FrontShape front in fronts)
        {
            Lean(places, front, harmBefore, harmNow);
        }

        if (SoundSpread(before, now, harmBefore, harmNow) is not { } spread)
        {
            return chances;
        }

        for (int at = 0; at < places.Length; at++)
        {
            double all = 0;
            double passed = 0;
            for (int step = 0; step < Steps; step++)
            {
                double share = (step + 0.5) * MostShare / Steps;
                double then = share * harmBefore[at];
                double since = share * harmNow[at];
                double likely = Likelihood(before[at] + then, now[at] + since, spread.Widened(then, since));
                all += likely;
                passed += then < settings.LeastDeparture && since >= settings.LeastDeparture ? likely : 0;
            }

            chances[at] = all > 0 ? passed / all : 0;
        }

        return chances;
    }

    private static double[] Harm(NeighbourWeights neighbours, GridPoint[] places, double[] departures, double width)
    {
        double[] harm = new double[places.Length];
        for (int at = 0; at < places.Length; at++)
        {
            double sum = 0;
            double weights = 0;
            foreach (int other in neighbours.Neighbours(at))
            {
                double east = places[other].EastingMetres - places[at].EastingMetres;
                double north = places[other].NorthingMetres - places[at].NorthingMetres;
                double weight = Math.Exp(-((east * east) + (north * north)) / (2 * width * width));
                weights += weight;
                sum += weight * Math.Clamp(-departures[other], LeastLack, MostLack);
            }

            harm[at] = weights > 0 ? Math.Max(0, sum / weights) : 0;
        }

        return harm;
    }

    /// <summary>Where a patch's edge was fitted, all its plants at a distance together tell the harm there best.</summary>
    private static void Lean(GridPoint[] places, FrontShape front, double[] harmBefore, double[] harmNow)
    {
        for (int at = 0; at < places.Length; at++)
        {
            (double then, double since) = front.At(places[at]);
            if (since > Edge * front.DepthNow)
            {
                harmBefore[at] += FrontShare * (Math.Max(0, then) - harmBefore[at]);
                harmNow[at] += FrontShare * (Math.Max(0, since) - harmNow[at]);
            }
        }
    }

    /// <summary>From the sums and the differences of the sound plants' departures, by their middle two thirds.</summary>
    private static Spread? SoundSpread(double[] before, double[] now, double[] harmBefore, double[] harmNow)
    {
        int[] sound =
        [
            .. Enumerable.Range(0, before.Length).Where(at => harmBefore[at] < SoundHarm && harmNow[at] < SoundHarm),
        ];
        if (sound.Length < LeastSound)
        {
            return null;
        }

        double sums = Variance([.. sound.Select(at => Math.Abs(before[at] + now[at]))]);
        double differences = Variance([.. sound.Select(at => Math.Abs(before[at] - now[at]))]);
        return differences > 0
            ? new Spread((sums + differences) / 4, (sums + differences) / 4, Math.Max(0, (sums - differences) / 4))
            : null;
    }

    private static double Variance(double[] sizes)
    {
        Array.Sort(sizes);
        double sigma = sizes[(int)(sizes.Length * OneSigmaShare)];
        return sigma * sigma;
    }

    private static double Likelihood(double before, double now, Spread spread)
    {
        double determinant = (spread.Before * spread.Now) - (spread.Shared * spread.Shared);
        double square =
            ((spread.Now * before * before) - (2 * spread.Shared * before * now) + (spread.Before * now * now))
            / determinant;
        return Math.Pow(1 + (square / Freedom), -(Freedom + 2) / 2) / Math.Sqrt(determinant);
    }

    /// <summary>Variances of the two departures, and what they share.</summary>
    private readonly record struct Spread(double Before, double Now, double Shared)
    {
        public Spread Widened(double then, double since) =>
            new(
                Before + (OwnSpread * OwnSpread * then * then),
                Now + (OwnSpread * OwnSpread * since * since),
                // Half of what is the plant's own case stays with it.
                Shared + (OwnSpread * OwnSpread * then * since / 2)
            );
    }
}
