using Hillrow.Validation.Chain;

namespace Hillrow.Validation.Real;

/// <summary>One plot at nine dates, maps of different grids to each plant's history.</summary>
public sealed class RealPlotFigures : FigureSource
{
    /// <summary>Closed canopy of cassava stands well above bare soil: a change that no noise of these pictures makes.</summary>
    private const double LeastChange = 0.1;

    private static readonly string[] Dates =
    [
        "2014-12-18",
        "2015-01-06",
        "2015-01-29",
        "2015-02-26",
        "2015-04-22",
        "2015-05-15",
        "2015-07-03",
        "2015-08-13",
        "2015-08-28",
    ];

    public override string Area => "real";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        if (RealData.Of(run, "drone-cassava-9dates") is not { } data)
        {
            yield break;
        }

        (string estate, HillrowProcess.Ended ended) = RealData.Estates(run).Plot(data);
        yield return RealData.Exit(
            "plot.exitCode",
            ended,
            $"./hillrow run; maps of nine dates to the ledger: {RealData.Ledger(estate)}",
            run
        );
        IReadOnlyDictionary<long, IReadOnlyDictionary<string, double>>[] told =
        [
            .. Dates.Select(date => RealData.Plants(estate, date, run.ScratchFolder)),
        ];
        double[] medians =
        [
            .. told.Select(plants =>
                Median(plants.Values.Select(plant => plant.GetValueOrDefault("ndvi", double.NaN)))
            ),
        ];
        run.Say($"  NDVI of the middle plant: {string.Join(", ", medians.Select(value => $"{value:0.00}"))}");
        long[] throughout =
        [
            .. told[0].Keys.Where(plant => Ndvi(told[0], plant) is not null && Ndvi(told[^1], plant) is not null),
        ];
        int seen = throughout.Count(plant =>
        {
            double highest = told[1..^1].Max(plants => Ndvi(plants, plant) ?? double.NegativeInfinity);
            return highest >= Ndvi(told[0], plant) + LeastChange && highest >= Ndvi(told[^1], plant) + LeastChange;
        });
        yield return new Figure(
            "plot.seasonSeenShare",
            (double)seen / throughout.Length,
            FormattableString.Invariant(
                $"plants whose NDVI rises by {LeastChange} and falls by as much later, of {throughout.Length} told at the first and the last date; of {told[0].Count} at the first"
            )
        );
        yield return new Figure(
            "plot.middleShiftMetres",
            Median(
                told.Zip(told.Skip(1))
                    .SelectMany(pair =>
                        pair.First.Where(plant => pair.Second.ContainsKey(plant.Key))
                            .Select(plant => Distance(plant.Value, pair.Second[plant.Key]))
                    )
            ),
            "of a plant's place from date to date, maps as their makers placed them; middle of all"
        );
    }

    private static double? Ndvi(IReadOnlyDictionary<long, IReadOnlyDictionary<string, double>> plants, long plant) =>
        plants.TryGetValue(plant, out IReadOnlyDictionary<string, double>? told)
        && told.TryGetValue("ndvi", out double value)
            ? value
            : null;

    private static double Distance(IReadOnlyDictionary<string, double> one, IReadOnlyDictionary<string, double> other)
    {
        double east = one["easting_metres"] - other["easting_metres"];
        double north = one["northing_metres"] - other["northing_metres"];
        return Math.Sqrt((east * east) + (north * north));
    }

    private static double Median(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Where(double.IsFinite).Order()];
        return sorted.Length == 0 ? double.NaN : sorted[sorted.Length / 2];
    }
}
