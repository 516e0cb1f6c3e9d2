using Hillrow.Numerics.Statistics;

namespace Hillrow.Findings;

/// <summary>One plant's place in the spread between two surveys.</summary>
/// <param name="EastMetres">Any plane frame.</param>
/// <param name="NorthMetres">Likewise.</param>
/// <param name="WasSick">At the earlier survey.</param>
/// <param name="IsSick">At the later one; only asked of plants that were not.</param>
public readonly record struct SpreadPlant(double EastMetres, double NorthMetres, bool WasSick, bool IsSick);

/// <summary>How a decline passes from plant to plant between two surveys.</summary>
/// <remarks>
/// A plant that was sound falls ill with the hazard ε + β Σ exp(−d/α) over all plants that were sick, d its distance from
/// each; the chance over the time T is 1 − exp(−T · hazard). Fitted by maximum likelihood: concave in ε and β for every
/// α, and α by a search over its logarithm. Source: the discrete-time form of Gibson 1997
/// (doi 10.1111/1467-9876.00061) with an exponential kernel; against no spread (β = 0) by Akaike's criterion.
/// </remarks>
/// <param name="BackgroundPerDay">ε: hazard without a sick plant near.</param>
/// <param name="ContactPerDay">β: hazard that a sick plant at distance zero adds.</param>
/// <param name="ReachMetres">α: distance over which that falls to 1/e.</param>
/// <param name="ReachInterval">95 % by the likelihood's profile, within the distances searched; NaN when nothing spreads.</param>
/// <param name="AkaikeGain">Akaike's criterion without spread less that with it; above 0 spread explains more.</param>
/// <param name="NewlySick">Plants that fell ill.</param>
/// <param name="Sound">Plants that could have.</param>
/// <param name="Days">Between the surveys.</param>
public sealed record InfectionModel(
    double BackgroundPerDay,
    double ContactPerDay,
    double ReachMetres,
    Interval ReachInterval,
    double AkaikeGain,
    int NewlySick,
    int Sound,
    double Days
)
{
    private const double Chi95 = 3.841458820694124;
    private const int Steps = 24;

    /// <summary>Beyond so many reaches a sick plant adds under a thousandth.</summary>
    private const double Cut = 7;

    /// <summary>Fits the model.</summary>
    /// <param name="plants">Plants judged at both surveys.</param>
    /// <param name="days">Above 0.</param>
    /// <param name="shortestMetres">Shortest reach looked for: half a planting distance.</param>
    /// <param name="longestMetres">Longest: a good part of the field.</param>
    /// <returns>Null when no plant was sick, none fell ill, or none was left that could.</returns>
    public static InfectionModel? Fit(
        IReadOnlyList<SpreadPlant> plants,
        double days,
        double shortestMetres,
        double longestMetres
    )
    {
        ArgumentNullException.ThrowIfNull(plants);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(days);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(shortestMetres);
        ArgumentOutOfRangeException.ThrowIfLessThanOrEqual(longestMetres, shortestMetres);
        SpreadPlant[] sick = [.. plants.Where(plant => plant.WasSick)];
        SpreadPlant[] sound = [.. plants.Where(plant => !plant.WasSick)];
        bool[] fell = [.. sound.Select(plant => plant.IsSick)];
        int count = fell.Count(one => one);
        if (sick.Length == 0 || count == 0 || count == sound.Length)
        {
            return null;
        }

        double share = (double)count / sound.Length;
        double without = (count * Math.Log(share)) + ((sound.Length - count) * Math.Log(1 - share));
        double low = Math.Log(shortestMetres);
        double high = Math.Log(longestMetres);
        Ascent At(double logReach) =>
            Ascent.Climb(Pressure(sound, sick, Math.Exp(logReach)), fell, days, -Math.Log(1 - share) / days);

        (double Log, Ascent Top) best = (double.NaN, new Ascent(0, 0, double.NegativeInfinity));
        for (int step = 0; step <= Steps; step++)
        {
            double log = low + ((high - low) * step / Steps);
            Ascent top = At(log);
            best = top.LogLikelihood > best.Top.LogLikelihood ? (log, top) : best;
        }

        best = Refine(At, best, (high - low) / Steps, low, high);
        bool spreads = best.Top.Contact > 0;
        double floor = best.Top.LogLikelihood - (Chi95 / 2);
        return new InfectionModel(
            best.Top.Background,
            best.Top.Contact,
            Math.Exp(best.Log),
            spreads
                ? new Interval(Math.Exp(Edge(At, best.Log, low, floor)), Math.Exp(Edge(At, best.Log, high, floor)))
                : new Interval(double.NaN, double.NaN),
            (2 * (best.Top.LogLikelihood - without)) - 4,
            count,
            sound.Length,
            days
        );
    }

    /// <summary>Chance that each plant, sound now, falls ill within the days, given the plants that are sick now.</summary>
    /// <param name="plants">By their later state; a sick one gets NaN.</param>
    /// <param name="days">From the later survey on.</param>
    public double[] Risk(IReadOnlyList<SpreadPlant> plants, double days)
    {
        ArgumentNullException.ThrowIfNull(plants);
        SpreadPlant[] sick = [.. plants.Where(plant => plant.WasSick || plant.IsSick)];
        double[] pressure = Pressure([.. plants], sick, ReachMetres);
        return
        [
            .. plants.Select(
                (plant, at) =>
                    plant.WasSick || plant.IsSick
                        ? double.NaN
                        : -Math.Exp(-days * (BackgroundPerDay + (ContactPerDay * pressure[at]))) + 1
            ),
        ];
    }

    /// <summary>Σ exp(−d/α) over the sick, by sound plant.</summary>
    internal static double[] Pressure(SpreadPlant[] sound, SpreadPlant[] sick, double reach)
    {
        double cell = Cut * reach;
        Dictionary<(long, long), List<SpreadPlant>> cells = [];
        (long, long) CellOf(in SpreadPlant plant) =>
            ((long)Math.Floor(plant.EastMetres / cell), (long)Math.Floor(plant.NorthMetres / cell));
        foreach (SpreadPlant plant in sick)
        {
            (long, long) key = CellOf(plant);
            if (!cells.TryGetValue(key, out List<SpreadPlant>? list))
            {
                cells[key] = list = [];
            }

            list.Add(plant);
        }

        double[] sums = new double[sound.Length];
        for (int at = 0; at < sound.Length; at++)
        {
            (long east, long north) = CellOf(sound[at]);
            for (long e = east - 1; e <= east + 1; e++)
            {
                for (long n = north - 1; n <= north + 1; n++)
                {
                    if (!cells.TryGetValue((e, n), out List<SpreadPlant>? list))
                    {
                        continue;
                    }

                    foreach (SpreadPlant other in list)
                    {
                        double de = sound[at].EastMetres - other.EastMetres;
                        double dn = sound[at].NorthMetres - other.NorthMetres;
                        double distance = Math.Sqrt((de * de) + (dn * dn));
                        sums[at] += distance < cell ? Math.Exp(-distance / reach) : 0;
                    }
                }
            }
        }

        return sums;
    }

    /// <summary>Golden section around the best of the grid.</summary>
    private static (double Log, Ascent Top) Refine(
        Func<double, Ascent> at,
        (double Log, Ascent Top) best,
        double step,
        double low,
        double high
    )
    {
        double ratio = (Math.Sqrt(5) - 1) / 2;
        double from = Math.Max(low, best.Log - step);
        double to = Math.Min(high, best.Log + step);
        for (int round = 0; round < 20; round++)
        {
            double left = to - (ratio * (to - from));
            double right = from + (ratio * (to - from));
            Ascent atLeft = at(left);
            Ascent atRight = at(right);
            (from, to) = atLeft.LogLikelihood >= atRight.LogLikelihood ? (from, right) : (left, to);
            best = atLeft.LogLikelihood > best.Top.LogLikelihood ? (left, atLeft) : best;
            best = atRight.LogLikelihood > best.Top.LogLikelihood ? (right, atRight) : best;
        }

        return best;
    }

    /// <summary>Where the profile falls to the floor between the top and an end of the search; the end when it never does.</summary>
    private static double Edge(Func<double, Ascent> at, double top, double end, double floor)
    {
        if (at(end).LogLikelihood >= floor)
        {
            return end;
        }

        (double inside, double outside) = (top, end);
        for (int round = 0; round < 16; round++)
        {
            double middle = (inside + outside) / 2;
            (inside, outside) = at(middle).LogLikelihood >= floor ? (middle, outside) : (inside, middle);
        }

        return (inside + outside) / 2;
    }
}
