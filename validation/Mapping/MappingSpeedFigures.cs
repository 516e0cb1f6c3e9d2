using Hillrow.Checks;

namespace Hillrow.Validation.Mapping;

/// <summary>Speed as ratios to GDAL's tools in the same run.</summary>
public sealed class MappingSpeedFigures : FigureSource
{
    public override string Area => "mapping";

    public override int Order => 50;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        int rounds = run.Quick ? 2 : 4;
        if (GdalJudge.Absence is { } absence)
        {
            yield return new Figure("speed.resamplingToGdalwarp", double.NaN, absence);
            yield return new Figure("speed.indexUncompressedToGdalCalc", double.NaN, absence);
            yield return new Figure("speed.indexCompressedToGdalCalc", double.NaN, absence);
            yield break;
        }

        run.Say(StageTime.Measure(run.ScratchFolder));
        (double ratio, string how) = ResamplingSpeed.Measure(run.ScratchFolder, rounds);
        yield return new Figure("speed.resamplingToGdalwarp", ratio, how);
        foreach ((string name, double indexRatio, string indexHow) in IndexSpeed.Measure(run.ScratchFolder, rounds))
        {
            yield return new Figure(name, indexRatio, indexHow);
        }
    }
}
