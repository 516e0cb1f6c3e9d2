using Hillrow.Checks;
using Hillrow.Imaging;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground;

/// <summary>What GDAL's validator and GDAL's reading of every value say against our cloud-optimized GeoTIFF.</summary>
public sealed class CogFigures : FigureSource
{
    public override string Area => "ground";

    public override int Order => 10;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        yield return Of(run, "cog.classicValidatorComplaints", BigTiffUse.WhenNeeded);
        yield return Of(run, "cog.bigTiffValidatorComplaints", BigTiffUse.Always);
    }

    private static Figure Of(ValidationRun run, string name, BigTiffUse bigTiff)
    {
        if (GdalJudge.Absence is { } absence)
        {
            return new Figure(name, double.NaN, absence);
        }

        CheckTally tally = CogChecks.Run(run.ScratchFolder, bigTiff, run.Quick);
        foreach (string failure in tally.Failures.Take(20))
        {
            run.Say($"  {failure}");
        }

        return new Figure(
            name,
            tally.Failures.Count,
            $"validator with --full-check=yes, place, labels and SHA-256 of every level of every band as GDAL reads them: {tally.Comparisons} comparisons in {tally.CaseCount} layouts"
        );
    }
}
