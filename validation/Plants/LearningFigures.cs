using Hillrow.Checks;
using Hillrow.Earth;
using Hillrow.Plants;

namespace Hillrow.Validation.Plants;

/// <summary>
/// What labels of a person teach: modelled blocks of greenness alone with many weeds, every sixth position labelled as it
/// truly is. Five seeds that nothing was tuned on, one drawn.
/// </summary>
public sealed class LearningFigures : FigureSource
{
    private const ulong FirstSeed = 4601;
    private const int Stride = 6;

    public override string Area => "plants";

    public override int Order => 3;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        ulong[] seeds = run.Quick ? [21, 22] : [FirstSeed, FirstSeed + 1, FirstSeed + 2, FirstSeed + 3, run.DrawnSeed];
        List<double> gains = [];
        int kept = 0;
        foreach (ulong seed in seeds)
        {
            ModelledPlanting planting = new() { SideMetres = 40, WeedsPerSquareMetre = 0.6 };
            ModelledBlock block = ModelledBlock.Make(planting, seed);
            PlantsInput input = block.Input(false);
            BlockPlants plain = PlantsStage.Run(input, new PlantsSettings(), null, default).Blocks[0];
            PlantLabel[] labels = [.. Labels(block, plain)];
            BlockPlants taught = PlantsStage
                .Run(
                    input with
                    {
                        // They teach only: what is gained is gained where nobody labelled.
                        Labels = labels,
                    },
                    new PlantsSettings(),
                    null,
                    default
                )
                .Blocks[0];
            (double before, double after) = (PlantScore.Of(block, plain).F1, PlantScore.Of(block, taught).F1);
            gains.Add(after - before);
            kept += taught.Learning!.Kept ? 1 : 0;
            run.Say(FormattableString.Invariant($"seed {seed}: F1 {before:F4} → {after:F4}; {taught.Learning.Told}"));
        }

        string how = FormattableString.Invariant(
            $"{seeds.Length} modelled blocks of 40 × 40 m without heights, 0.6 weeds a square metre, every {Stride}th position labelled (drawn: {run.DrawnSeed}); used in {kept}; mean gain {gains.Average():F4}"
        );
        yield return new Figure("learning.leastF1Gain", gains.Min(), how);
        yield return new Figure("learning.shareOfBlocksUsed", (double)kept / seeds.Length, how);
    }

    private static IEnumerable<PlantLabel> Labels(ModelledBlock block, BlockPlants found)
    {
        GridPoint[] places = [.. found.Plants.Select(plant => plant.Place), .. found.Gaps.Select(gap => gap.Place)];
        int[] real = PlantScore.Match(
            places,
            [.. block.Plants.Select(PlantScore.Place)],
            block.Planting.PlantSpacing / 2
        );
        for (int at = 0; at < places.Length; at += Stride)
        {
            yield return new PlantLabel(places[at], real[at] >= 0, Binding: false);
        }
    }
}
