namespace Hillrow.Findings;

/// <summary>What became of a plant between two surveys.</summary>
public enum PlantChange
{
    /// <summary>Not judged at both dates.</summary>
    Unknown,
    Healthy,

    /// <summary>
    /// Declining now, and began to between the surveys: in a patch, not declining before, and the fall is beyond both
    /// dates' errors; or likely enough by what its neighbours say as well, whatever its own verdict was before.
    /// </summary>
    New,

    /// <summary>
    /// As new, but in no patch: a single plant that was badly measured looks the same, so it is to be looked at, not counted
    /// as spread.
    /// </summary>
    Alone,

    /// <summary>Declining at both dates.</summary>
    Standing,

    /// <summary>Declining before, not now, and the rise is beyond both dates' errors.</summary>
    Recovered,

    /// <summary>The class changed, but not beyond both dates' errors.</summary>
    Uncertain,
}

/// <summary>Compares the verdicts of two surveys, plant by plant.</summary>
public static class DeclineChange
{
    /// <summary>One-sided 5 % point of the normal distribution.</summary>
    private const double BeyondError = 1.645;

    /// <summary>Spread of a healthy plant's departure between two dates, besides the measures' errors.</summary>
    /// <remarks>Common practice, no source: leaves turn, fruit loads shift; 0.6 until repeated surveys tell.</remarks>
    private const double HealthyDrift = 0.6;

    /// <summary>
    /// The chance from which on a plant counts as new. Half of the best F1 makes F1 largest (Lipton, Elkan &amp;
    /// Naryanaswamy 2014, doi 10.1007/978-3-662-44851-9_15), so below one half; 0.35 on the modelled estates 9001 to 9012
    /// and 9101 to 9112, which judge nothing.
    /// </summary>
    private const double LikelyPassed = 0.35;

    /// <param name="before">Verdicts of the earlier survey.</param>
    /// <param name="now">Of the later one.</param>
    /// <param name="chances">By ledger number, how likely a plant began to decline between them, where that is known.</param>
    /// <returns>By ledger number; plants of either survey.</returns>
    public static IReadOnlyDictionary<long, PlantChange> Between(
        IReadOnlyList<PlantVerdict> before,
        IReadOnlyList<PlantVerdict> now,
        IReadOnlyDictionary<long, double>? chances = null
    )
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(now);
        Dictionary<long, PlantVerdict> earlier = before.ToDictionary(verdict => verdict.Number);
        SortedDictionary<long, PlantChange> changes = [];
        foreach (PlantVerdict verdict in before)
        {
            changes[verdict.Number] = PlantChange.Unknown;
        }

        foreach (PlantVerdict verdict in now)
        {
            changes[verdict.Number] = earlier.TryGetValue(verdict.Number, out PlantVerdict? then)
                ? Of(
                    then,
                    verdict,
                    chances is not null && chances.TryGetValue(verdict.Number, out double one) ? one : 0
                )
                : PlantChange.Unknown;
        }

        return changes;
    }

    private static PlantChange Of(PlantVerdict before, PlantVerdict now, double chance)
    {
        if (before.Severity == Severity.NotJudged || now.Severity == Severity.NotJudged)
        {
            return PlantChange.Unknown;
        }

        if (now.Declining && chance >= LikelyPassed)
        {
            return PlantChange.New;
        }

        if (before.Declining == now.Declining)
        {
            return now.Declining ? PlantChange.Standing : PlantChange.Healthy;
        }

        double error = Math.Sqrt(Square(before.DepartureSigma) + Square(now.DepartureSigma) + Square(HealthyDrift));
        bool beyond = Math.Abs(now.Departure - before.Departure) > BeyondError * error;
        if (!beyond)
        {
            return PlantChange.Uncertain;
        }

        return (now.Declining, now.Patch >= 0) switch
        {
            (false, _) => PlantChange.Recovered,
            (true, true) => PlantChange.New,
            _ => PlantChange.Alone,
        };
    }

    private static double Square(double value) => double.IsFinite(value) ? value * value : 0;
}
