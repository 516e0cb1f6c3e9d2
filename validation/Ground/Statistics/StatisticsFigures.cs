using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground.Statistics;

/// <summary>The share of statistics check cases that hold within their stated tolerances.</summary>
public sealed class StatisticsFigures : FigureSource
{
    public override string Area => "ground";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        double holding = 0;
        int cases = 0;
        foreach ((string file, Func<CheckTally> compare) in Comparisons.All)
        {
            CheckTally tally = compare();
            holding += tally.ShareHolding * tally.CaseCount;
            cases += tally.CaseCount;
            if (tally.Failures.Count > 0)
            {
                run.Say($"{file}: {tally.Report()}");
            }
        }

        yield return new Figure(
            "checks.statistics.shareHolding",
            Math.Round(holding) / cases,
            FormattableString.Invariant($"{cases} cases of {Comparisons.All.Count} files in tests/Reference/statistics")
        );
    }
}
