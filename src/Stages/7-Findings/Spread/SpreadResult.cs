using Hillrow.Numerics.Statistics;

namespace Hillrow.Findings;

/// <summary>How many plants went from one class to another.</summary>
public sealed record ClassTransition(Severity Before, Severity Now, int Plants);

/// <summary>A patch's edge between two surveys.</summary>
/// <param name="Patch">Index into the later survey's patches.</param>
/// <param name="Advance">Null when the patch is new or its edge cannot be told at both dates.</param>
/// <param name="IsNew">No declining plant stood in it before.</param>
public sealed record PatchFront(int Patch, FrontAdvance? Advance, bool IsNew);

/// <summary>What changed between two surveys.</summary>
/// <param name="Days">Between them.</param>
/// <param name="Changes">By ledger number.</param>
/// <param name="Transitions">Classes before × now with at least one plant, plants of both surveys.</param>
/// <param name="Fronts">By patch of the later survey.</param>
/// <param name="MeanSpeedMetresPerDay">Of the fronts that can be told, weighted by their errors; NaN without any.</param>
/// <param name="MeanSpeedSigmaMetresPerDay">One standard error of it.</param>
/// <param name="Infection">Null when nobody was ill or nobody fell ill.</param>
/// <param name="Risk">
/// By ledger number of plants sound now: chance of falling ill within <paramref name="RiskDays"/> days if all goes on as
/// between the two surveys.
/// </param>
/// <param name="RiskDays">Horizon of the risk.</param>
public sealed record SpreadResult(
    double Days,
    IReadOnlyDictionary<long, PlantChange> Changes,
    IReadOnlyList<ClassTransition> Transitions,
    IReadOnlyList<PatchFront> Fronts,
    double MeanSpeedMetresPerDay,
    double MeanSpeedSigmaMetresPerDay,
    InfectionModel? Infection,
    IReadOnlyDictionary<long, double> Risk,
    double RiskDays
);

/// <summary>How the share of declining plants goes over three surveys or more.</summary>
/// <param name="PerYear">Change of the log odds a year.</param>
/// <param name="PerYearInterval">95 %.</param>
public sealed record IncidenceTrend(double PerYear, Interval PerYearInterval)
{
    private const double DaysPerYear = 365.25;
    private const double Normal95 = 1.959963984540054;

    public bool IsRising => PerYearInterval.Low > 0;

    public bool IsFalling => PerYearInterval.High < 0;

    /// <summary>Weighted line through the log odds; their variances carry each survey's design effect.</summary>
    /// <param name="surveys">Day, judged plants, declining plants, design effect; at least three with plants.</param>
    /// <returns>Null with fewer.</returns>
    public static IncidenceTrend? Of(IReadOnlyList<(DateOnly Day, int Judged, int Declining, double Effect)> surveys)
    {
        ArgumentNullException.ThrowIfNull(surveys);
        (double Years, double LogOdds, double Weight)[] points =
        [
            .. surveys
                .Where(survey => survey.Judged > 0)
                .Select(survey =>
                {
                    // Half a plant on either side keeps 0 and all finite (Haldane 1956, from memory).
                    double ill = survey.Declining + 0.5;
                    double well = survey.Judged - survey.Declining + 0.5;
                    double weight = 1 / (((1 / ill) + (1 / well)) * Math.Max(1, survey.Effect));
                    return (survey.Day.DayNumber / DaysPerYear, Math.Log(ill / well), weight);
                }),
        ];
        if (points.Length < 3)
        {
            return null;
        }

        double all = points.Sum(point => point.Weight);
        double middle = points.Sum(point => point.Weight * point.Years) / all;
        double level = points.Sum(point => point.Weight * point.LogOdds) / all;
        double spread = points.Sum(point => point.Weight * Math.Pow(point.Years - middle, 2));
        if (!(spread > 0))
        {
            return null;
        }

        double slope = points.Sum(point => point.Weight * (point.Years - middle) * (point.LogOdds - level)) / spread;
        double misfit =
            points.Sum(point => point.Weight * Math.Pow(point.LogOdds - level - (slope * (point.Years - middle)), 2))
            / (points.Length - 2);
        // A misfit above chance widens the interval, one below does not narrow it.
        double error = Math.Sqrt(Math.Max(1, misfit) / spread);
        return new IncidenceTrend(slope, new Interval(slope - (Normal95 * error), slope + (Normal95 * error)));
    }
}
