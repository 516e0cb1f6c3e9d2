using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Plants;

namespace Hillrow.Checks;

/// <summary>Identities over two surveys of a modelled block, through finding and matching.</summary>
/// <param name="ShareRight">Found plants of the second survey whose number is the true one (or newly issued when they are new).</param>
/// <param name="ShareSameAfterRerun">The same survey matched again, from its own ledger: share with the same number.</param>
/// <param name="Wrong">What went wrong, a few.</param>
public sealed record IdentityScore(double ShareRight, double ShareSameAfterRerun, IReadOnlyList<string> Wrong)
{
    /// <param name="planting">The block.</param>
    /// <param name="seed">Of everything.</param>
    /// <param name="shiftMetres">The second survey lies this far east of the first.</param>
    /// <param name="stumped">Cut the block back between the surveys.</param>
    public static IdentityScore Of(ModelledPlanting planting, ulong seed, double shiftMetres, bool stumped)
    {
        SplittableRandom random = new SplittableRandom(seed).Split("identity");
        ModelledBlock first = ModelledBlock.Make(planting, seed);
        List<ModelledPlant> later = [];
        List<int> origin = [];
        for (int at = 0; at < first.Plants.Count; at++)
        {
            ModelledPlant plant = first.Plants[at];
            double fate = random.NextDouble();
            if (fate < 0.03)
            {
                continue;
            }

            bool replanted = fate < 0.06 && !stumped;
            double turn = random.NextDouble() * Math.Tau;
            double grown = stumped ? 0.35 : 1.08 + (0.04 * random.NextGaussian());
            later.Add(
                plant with
                {
                    X = plant.X + shiftMetres + (replanted ? 0.3 * Math.Cos(turn) : 0),
                    Y = plant.Y + (replanted ? 0.3 * Math.Sin(turn) : 0),
                    HeightMetres = replanted ? 0.7 : plant.HeightMetres * grown,
                    RadiusMetres = replanted ? 0.32 : plant.RadiusMetres * (stumped ? 0.55 : 1.02),
                }
            );
            origin.Add(replanted ? -1 : at);
        }

        ModelledBlock second = ModelledBlock.Redraw(planting, later, seed + 1);
        PlantsSettings settings = new();
        BlockPlants before = PlantsStage.Run(first.Input(true, spacingsGiven: true), settings, null, default).Blocks[0];
        PlantsInput secondInput = second.Input(true, spacingsGiven: true);
        secondInput = secondInput with { Blocks = [secondInput.Blocks[0] with { Earlier = EarlierPlants.Of(before) }] };
        BlockPlants after = PlantsStage.Run(secondInput, settings, null, default).Blocks[0];
        PlantMatch start = PlantMatching.Match([], before.Plants, before.Hidden, planting.PlantSpacing, 1);
        List<KnownPlant> ledger = Ledger(before, start);
        long next = ledger.Count + 1;
        PlantMatch match = PlantMatching.Match(ledger, after.Plants, after.Hidden, planting.PlantSpacing, next);

        double reach = planting.PlantSpacing / 2;
        int[] firstPair = PlantScore.Match(Places(first.Plants), Places(before), reach);
        int[] secondPair = PlantScore.Match(Places(later), Places(after), reach);
        int counted = 0;
        int right = 0;
        List<string> wrong = [];
        for (int at = 0; at < later.Count; at++)
        {
            if (secondPair[at] < 0)
            {
                continue;
            }

            MatchedPlant got = match.Plants[secondPair[at]];
            bool known = origin[at] >= 0 && firstPair[origin[at]] >= 0;
            bool holds = known ? got.Number == start.Plants[firstPair[origin[at]]].Number : got.Number >= next;
            counted++;
            right += holds ? 1 : 0;
            if (!holds && wrong.Count < 5)
            {
                wrong.Add(
                    $"{got.Fate} {got.OffMetres:F2} m, {(known ? "known" : "new")}, height {after.Plants[secondPair[at]].TopHeightMetres.Value:F2} m"
                );
            }
        }

        List<KnownPlant> again = Ledger(after, match);
        PlantMatch rerun = PlantMatching.Match(again, after.Plants, after.Hidden, planting.PlantSpacing, next + 10_000);
        int same = 0;
        for (int at = 0; at < match.Plants.Count; at++)
        {
            same += rerun.Plants[at].Number == match.Plants[at].Number ? 1 : 0;
        }

        return new IdentityScore(
            counted == 0 ? 0 : (double)right / counted,
            match.Plants.Count == 0 ? 0 : (double)same / match.Plants.Count,
            wrong
        );
    }

    private static List<KnownPlant> Ledger(BlockPlants found, PlantMatch match) =>
        [
            .. match.Plants.Select(plant =>
            {
                PlantRecord seen = found.Plants[plant.FoundIndex];
                return new KnownPlant(
                    plant.Number,
                    seen.Row,
                    seen.Place,
                    seen.PlaceSigmaMetres,
                    seen.TopHeightMetres.Value,
                    seen.CrownAreaSquareMetres.Value
                );
            }),
        ];

    private static GridPoint[] Places(IEnumerable<ModelledPlant> plants) => [.. plants.Select(PlantScore.Place)];

    private static GridPoint[] Places(BlockPlants found) => [.. found.Plants.Select(plant => plant.Place)];
}
