using Hillrow.Plants;

namespace Hillrow.Checks;

/// <summary>How a measure's stated 90 % intervals do in one class of crown size.</summary>
/// <param name="Measure">What was measured.</param>
/// <param name="SizeClass">0 small, 1 middle, 2 large.</param>
/// <param name="Coverage">Share of truths within.</param>
/// <param name="WidthRatio">Mean stated width over the width that would have held 90 %.</param>
/// <param name="MeanError">Told less true, in the measure's unit.</param>
/// <param name="Spread">Root mean square of the errors.</param>
/// <param name="Count">Intervals.</param>
public sealed record IntervalClass(
    string Measure,
    int SizeClass,
    double Coverage,
    double WidthRatio,
    double MeanError,
    double Spread,
    int Count
);

/// <summary>Stated intervals against the truth of modelled surveys, measure by measure and size class by size class.</summary>
public sealed class IntervalScore
{
    private const double NinetyPercent = 1.645;
    private const int Classes = 3;

    private readonly List<(double Area, string Measure, double Error, double Sigma)> entries = [];

    public void Add(ModelledSurvey survey, BlockPlants found)
    {
        ArgumentNullException.ThrowIfNull(survey);
        ArgumentNullException.ThrowIfNull(found);
        ModelledBlock block = survey.Block;
        int[] pair = PlantScore.Match(
            [.. block.Plants.Select(PlantScore.Place)],
            [.. found.Plants.Select(plant => plant.Place)],
            block.Planting.PlantSpacing / 2
        );
        for (int at = 0; at < pair.Length; at++)
        {
            if (pair[at] >= 0)
            {
                Add(survey.Truth[at], block.Plants[at], found.Plants[pair[at]]);
            }
        }
    }

    /// <summary>Three classes of equal number by true crown area.</summary>
    public IReadOnlyList<IntervalClass> Result()
    {
        double[] areas = [.. entries.Where(entry => entry.Measure == "area").Select(entry => entry.Area).Order()];
        double[] limits = [areas[areas.Length / Classes], areas[2 * areas.Length / Classes]];
        return
        [
            .. entries
                .GroupBy(entry => (entry.Measure, Class: limits.Count(limit => entry.Area >= limit)))
                .OrderBy(group => group.Key.Measure, StringComparer.Ordinal)
                .ThenBy(group => group.Key.Class)
                .Select(group =>
                    Of(group.Key.Measure, group.Key.Class, [.. group.Select(one => (one.Error, one.Sigma))])
                ),
        ];
    }

    private static IntervalClass Of(string measure, int size, (double Error, double Sigma)[] stated)
    {
        double[] off = [.. stated.Select(one => Math.Abs(one.Error)).Order()];
        double needed = Numerics.Statistics.Quantiles.QuantileOfSorted(off, 0.9);
        return new IntervalClass(
            measure,
            size,
            stated.Count(one => Math.Abs(one.Error) <= NinetyPercent * one.Sigma) / (double)stated.Length,
            NinetyPercent * stated.Average(one => one.Sigma) / needed,
            stated.Average(one => one.Error),
            Math.Sqrt(stated.Average(one => one.Error * one.Error)),
            stated.Length
        );
    }

    private void Add(TrueCrown truth, ModelledPlant stem, PlantRecord told)
    {
        double area = truth.AreaSquareMetres;
        if (!(area > 0))
        {
            return;
        }

        Hillrow.Earth.GridPoint place = PlantScore.Place(stem);
        Note("place", told.Place.EastingMetres - place.EastingMetres, told.PlaceSigmaMetres);
        Note("place", told.Place.NorthingMetres - place.NorthingMetres, told.PlaceSigmaMetres);
        Compare("top", told.TopHeightMetres, truth.TopHeightMetres);
        Compare("p90", told.UpperHeightMetres, truth.UpperHeightMetres);
        Compare("area", told.CrownAreaSquareMetres, area);
        Compare("long", told.LongDiameterMetres, truth.LongMetres);
        Compare("short", told.ShortDiameterMetres, truth.ShortMetres);
        Compare("volume", told.VolumeCubicMetres, truth.VolumeCubicMetres);
        foreach (CrownValue value in told.Values)
        {
            if (truth.Means.TryGetValue(value.Name, out double mean))
            {
                Compare(value.Name, value.Mean, mean);
            }
        }

        void Compare(string measure, Measured stated, double real)
        {
            if (double.IsFinite(stated.Value) && double.IsFinite(stated.Sigma))
            {
                Note(measure, stated.Value - real, stated.Sigma);
            }
        }

        void Note(string measure, double error, double sigma) => entries.Add((area, measure, error, sigma));
    }
}
