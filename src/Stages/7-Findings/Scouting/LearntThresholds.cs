namespace Hillrow.Findings;

/// <summary>The severity thresholds that scouts' answers speak for.</summary>
/// <remarks>
/// For each class a logistic curve of the departure, its steepness fixed, its middle (the threshold) the most likely one
/// given the answers and a normal prior around the default: few answers move it little, many override it. Answers may be
/// gathered anywhere along the departures; the curve is conditional on them. Own; logistic regression after Cox 1958
/// (doi 10.1111/j.2517-6161.1958.tb00292.x), prior as in maximum a posteriori fits.
/// </remarks>
public static class LearntThresholds
{
    /// <summary>Fewer answers of both kinds than this leave a threshold where it is.</summary>
    private const int LeastOfEachKind = 3;

    /// <summary>Standard deviations of the departure over which a scout's opinion turns (error of measures and of eyes).</summary>
    private const double Turn = 0.8;

    /// <summary>How far off the default may be, one standard deviation.</summary>
    private const double PriorSpread = 0.75;

    /// <summary>Least distance of two thresholds, so that no class is empty by construction.</summary>
    private const double Apart = 0.25;

    private const double Lowest = 1.5;
    private const double Highest = 12;

    /// <param name="answers">Plants that were judged by the map and seen by a scout.</param>
    /// <param name="defaults">Thresholds to start from.</param>
    /// <returns>The same settings with the thresholds moved, or as they were.</returns>
    public static FindingsSettings From(IReadOnlyList<ScoutedPlant> answers, FindingsSettings defaults)
    {
        ArgumentNullException.ThrowIfNull(answers);
        ArgumentNullException.ThrowIfNull(defaults);
        ScoutedPlant[] judged = [.. answers.Where(answer => double.IsFinite(answer.Departure))];
        double least = One(judged, SeenState.Light, defaults.LeastDeparture);
        double moderate = One(judged, SeenState.Moderate, defaults.ModerateDeparture);
        double severe = One(judged, SeenState.Severe, defaults.SevereDeparture);
        moderate = Math.Max(moderate, least + Apart);
        severe = Math.Max(severe, moderate + Apart);
        return defaults with { LeastDeparture = least, ModerateDeparture = moderate, SevereDeparture = severe };
    }

    private static double One(ScoutedPlant[] answers, SeenState from, double start)
    {
        int bad = answers.Count(answer => answer.Seen >= from);
        if (bad < LeastOfEachKind || answers.Length - bad < LeastOfEachKind)
        {
            return start;
        }

        // The slope of the log posterior falls with the threshold: halving finds its zero.
        (double low, double high) = (Lowest, Highest);
        for (int round = 0; round < 60; round++)
        {
            double middle = (low + high) / 2;
            double slope = (start - middle) / (PriorSpread * PriorSpread);
            foreach (ScoutedPlant answer in answers)
            {
                double chance = 1 / (1 + Math.Exp((answer.Departure + middle) / Turn));
                slope += (chance - (answer.Seen >= from ? 1 : 0)) / Turn;
            }

            (low, high) = slope > 0 ? (middle, high) : (low, middle);
        }

        return (low + high) / 2;
    }
}
