using Hillrow.Earth;

namespace Hillrow.Plants;

/// <summary>Puts a block's positions right by a person's labels, and by what they teach.</summary>
internal static class LabelledPositions
{
    // A label speaks of the position nearest to it within this share of the planting distance.
    private const double ReachShare = 0.5;

    /// <returns>What was learnt; null without labels in the block.</returns>
    public static LabelTrial? Apply(
        PlantsInput input,
        PlantBlock block,
        BlockScene scene,
        BlockPositions found,
        double spacing
    )
    {
        PlantLabel[] labels = [.. input.Labels.Where(label => block.Boundary.Contains(label.Place))];
        if (labels.Length == 0)
        {
            return null;
        }

        int plants = found.Plants.Count;
        (double X, double Y)[] places =
        [
            .. found.Plants.Select(plant => (plant.X, plant.Y)),
            .. found.Gaps.Select(gap => ToBlock(scene, gap.Place)),
        ];
        bool?[] said = new bool?[places.Length];
        bool[] binding = new bool[places.Length];
        List<PlantLabel> elsewhere = [];
        PlaceIndex index = new([.. places.Select(place => scene.PlaceOf(place.X, place.Y))], spacing);
        List<int> near = [];
        foreach (PlantLabel label in labels)
        {
            (double x, double y) = ToBlock(scene, label.Place);
            index.Within(label.Place, ReachShare * spacing, near);
            if (near.Count == 0)
            {
                elsewhere.Add(label);
                continue;
            }

            int own = near.MinBy(at => (Away(places[at], x, y), at));
            said[own] = label.IsPlant;
            binding[own] = label.Binding;
        }

        if (places.Length == 0)
        {
            return new LabelTrial(labels.Length, 0, 0, 0, 1, 0, 0);
        }

        double[][] looks = PositionLooks.Of(input, scene, places, spacing);
        (bool[] verdicts, LabelTrial trial) = LabelLearning.Apply(
            [.. places.Select((place, at) => new JudgedPosition(place.X, place.Y, at < plants, looks[at]))],
            said,
            spacing
        );
        for (int at = 0; at < verdicts.Length; at++)
        {
            verdicts[at] = said[at] is { } word && binding[at] ? word : verdicts[at];
        }

        Write(scene, found, verdicts, places, spacing);
        foreach (PlantLabel label in elsewhere.Where(label => label.IsPlant && label.Binding))
        {
            (double x, double y) = ToBlock(scene, label.Place);
            found.Plants.Add(Filled(scene, 0, 0, x, y));
        }

        return trial;
    }

    private static void Write(
        BlockScene scene,
        BlockPositions found,
        bool[] isPlant,
        (double X, double Y)[] places,
        double spacing
    )
    {
        FoundPlant[] plants = [.. found.Plants];
        EmptyPosition[] gaps = [.. found.Gaps];
        found.Plants.Clear();
        found.Gaps.Clear();
        for (int at = 0; at < isPlant.Length; at++)
        {
            bool was = at < plants.Length;
            if (was && isPlant[at])
            {
                found.Plants.Add(plants[at]);
            }
            else if (was && plants[at].Slot > 0)
            {
                // Off the pattern no plant is missing: there it is only taken away.
                found.Gaps.Add(
                    new EmptyPosition(
                        plants[at].Row,
                        plants[at].Slot,
                        scene.PlaceOf(plants[at].X, plants[at].Y),
                        RowPositions.GapSigmaShare * spacing,
                        ""
                    )
                );
            }
            else if (!was && isPlant[at])
            {
                EmptyPosition gap = gaps[at - plants.Length];
                found.Plants.Add(Filled(scene, gap.Row, gap.PositionInRow, places[at].X, places[at].Y));
            }
            else if (!was)
            {
                found.Gaps.Add(gaps[at - plants.Length]);
            }
        }
    }

    private static FoundPlant Filled(BlockScene scene, int row, int slot, double x, double y)
    {
        double cell = scene.Grid.CellSizeMetres;
        YoungPlants.Leaf(scene, (int)(y / cell), (int)(x / cell));
        return new FoundPlant(row, slot, x, y, slot == 0 ? PlantQuality.OffPattern : PlantQuality.Small);
    }

    private static (double X, double Y) ToBlock(BlockScene scene, GridPoint place) =>
        (place.EastingMetres - scene.Grid.WestMetres, scene.Grid.NorthMetres - place.NorthingMetres);

    private static double Away((double X, double Y) place, double x, double y) =>
        ((place.X - x) * (place.X - x)) + ((place.Y - y) * (place.Y - y));
}
