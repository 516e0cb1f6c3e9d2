using Hillrow.Validation.Chain;

namespace Hillrow.Validation.Real;

/// <summary>Street trees at two dates, a map to the ledger's gains and losses.</summary>
public sealed class RealStreetFigures : FigureSource
{
    public override string Area => "real";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        if (RealData.Of(run, "urban-trees-rgbnir") is not { } data)
        {
            yield break;
        }

        (string estate, HillrowProcess.Ended ended) = RealData.Estates(run).Street(data);
        yield return RealData.Exit(
            "street.exitCode",
            ended,
            $"./hillrow run; maps of two dates to the ledger: {RealData.Ledger(estate)}",
            run
        );
        IReadOnlyDictionary<long, IReadOnlyDictionary<string, double>> first = RealData.Plants(
            estate,
            "2018-07-01",
            run.ScratchFolder
        );
        IReadOnlyDictionary<long, IReadOnlyDictionary<string, double>> second = RealData.Plants(
            estate,
            "2020-07-01",
            run.ScratchFolder
        );
        const string How = "from the tables exported of both dates; marks on the pictures, paired within 3 m, say";
        yield return new Figure(
            "street.gained",
            second.Keys.Count(plant => !first.ContainsKey(plant)),
            $"plants seen first at the second date, {How} 18"
        );
        yield return new Figure(
            "street.lost",
            RealData.States(estate).GetValueOrDefault("gone"),
            $"plants told as gone, {How} 2"
        );
    }
}
