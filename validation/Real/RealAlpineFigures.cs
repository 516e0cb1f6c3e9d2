using Hillrow.Earth;
using Hillrow.Validation.Chain;
using Hillrow.Validation.Plants;

namespace Hillrow.Validation.Real;

/// <summary>Trees of a steep alpine plot: a canopy model brought in, the exported trees' heights against the tape.</summary>
public sealed class RealAlpineFigures : FigureSource
{
    public override string Area => "real";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        if (RealData.Of(run, "alpine-chm-field-trees") is not { } data)
        {
            yield break;
        }

        (string estate, ReferenceSystem system, HillrowProcess.Ended ended) = RealData.Estates(run).Alpine(data);
        yield return RealData.Exit(
            "alpine.exitCode",
            ended,
            $"./hillrow run; a canopy model to the ledger: {RealData.Ledger(estate)}",
            run
        );
        (GridPoint Place, double Height)[] found =
        [
            .. RealData
                .Plants(estate, RealEstates.AlpineDate, run.ScratchFolder)
                .Values.Where(plant => plant.ContainsKey("top_height_metres"))
                .Select(plant =>
                    (
                        system.ToGrid(GeographicPoint.FromDegrees(plant["latitude"], plant["longitude"])),
                        plant["top_height_metres"]
                    )
                ),
        ];
        (GridPoint Stem, double Height)[] trees = [.. TapedTrees.Of(data)];
        double[] off = [.. TapedTrees.HeightsOff(trees, found)];
        string how = FormattableString.Invariant(
            $"{off.Length} of {trees.Length} living trees matched with one of {found.Length} exported plants by the rule of decision 41; dominated trees are not seen from above"
        );
        yield return new Figure("alpine.matchedShare", (double)off.Length / trees.Length, how);
        yield return new Figure("alpine.heightBiasMetres", off.Average(), how);
        yield return new Figure("alpine.heightRmseMetres", Math.Sqrt(off.Average(value => value * value)), how);
    }
}
