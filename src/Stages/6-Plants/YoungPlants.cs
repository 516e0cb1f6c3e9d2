namespace Hillrow.Plants;

/// <summary>Young plants in what the rhythm left empty: below the height and far below the evidence of a typical plant.</summary>
internal sealed class YoungPlants(BlockScene scene, double spacing, BlockPositions found)
{
    // From this chance on, an empty place is a young plant's. Calling a gap a plant costs as much as the reverse.
    private const double YoungChance = 0.6;

    // The middle of a young plant lies this near to where the rhythm expects it.
    private const double YoungReachShare = 0.4;

    // A plant in its first year reaches no farther.
    private const double YoungLeafMetres = 0.35;

    /// <summary>Turns gaps in which a young plant stands into plants, and lets their leaves be canopy.</summary>
    public void Find()
    {
        if (scene.Height is null)
        {
            return;
        }

        PlaceIndex grown = new([.. found.Plants.Select(plant => scene.PlaceOf(plant.X, plant.Y))], 1.4 * spacing);
        List<EmptyPosition> empty = [];
        foreach (EmptyPosition gap in found.Gaps)
        {
            double x = gap.Place.EastingMetres - scene.Grid.WestMetres;
            double y = scene.Grid.NorthMetres - gap.Place.NorthingMetres;
            if (YoungAt(x, y, grown) is { } young)
            {
                found.Plants.Add(new FoundPlant(gap.Row, gap.PositionInRow, young.X, young.Y, PlantQuality.Small));
            }
            else
            {
                empty.Add(gap);
            }
        }

        found.Gaps.Clear();
        found.Gaps.AddRange(empty);
    }

    private (double X, double Y)? YoungAt(double x, double y, PlaceIndex grown)
    {
        double cell = scene.Grid.CellSizeMetres;
        int reach = (int)Math.Ceiling(((YoungReachShare * spacing) + 0.6) / cell);
        int row0 = (int)(y / cell) - reach;
        int column0 = (int)(x / cell) - reach;
        int side = (2 * reach) + 1;
        if (row0 < 0 || column0 < 0 || row0 + side > scene.Window.Rows || column0 + side > scene.Window.Columns)
        {
            return null;
        }

        List<int> near = [];
        grown.Within(scene.PlaceOf(x, y), 1.4 * spacing, near);
        (double X, double Y)[] neighbours = [.. near.Select(at => (found.Plants[at].X, found.Plants[at].Y))];
        float[] green = new float[side * side];
        float[] height = new float[side * side];
        byte[] allowed = new byte[side * side];
        for (int at = 0; at < green.Length; at++)
        {
            int row = row0 + (at / side);
            int column = column0 + (at % side);
            int block = (row * scene.Window.Columns) + column;
            green[at] = scene.Vegetation[block];
            height[at] = scene.Height![block];
            double px = (column + 0.5) * cell;
            double py = (row + 0.5) * cell;
            double away = Distance(px, py, x, y);
            bool mine = Array.TrueForAll(neighbours, other => away < 0.9 * Distance(px, py, other.X, other.Y));
            allowed[at] =
                mine && away < YoungReachShare * spacing && scene.Missing[block] == 0 && scene.NoHeight[block] == 0
                    ? (byte)1
                    : (byte)0;
        }

        if (
            YoungPlant.Best(green, height, allowed, side, side, cell, (y / cell) - row0, (x / cell) - column0)
                is not { } best
            || best.Chance < YoungChance
        )
        {
            return null;
        }

        Leaf(scene, row0 + best.Row, column0 + best.Column);
        return ((column0 + best.Column + 0.5) * cell, (row0 + best.Row + 0.5) * cell);
    }

    /// <summary>Lets leaves about a plant's middle be canopy: they are below the height from which the block's is told.</summary>
    public static void Leaf(BlockScene scene, int middleRow, int middleColumn)
    {
        int columns = scene.Window.Columns;
        float least = (float)((scene.Vegetation[(middleRow * columns) + middleColumn] + scene.BareGreenness) / 2);
        int reach = (int)(YoungLeafMetres / scene.Grid.CellSizeMetres);
        for (int row = Math.Max(0, middleRow - reach); row <= Math.Min(scene.Window.Rows - 1, middleRow + reach); row++)
        {
            for (
                int column = Math.Max(0, middleColumn - reach);
                column <= Math.Min(columns - 1, middleColumn + reach);
                column++
            )
            {
                int away =
                    ((row - middleRow) * (row - middleRow)) + ((column - middleColumn) * (column - middleColumn));
                int at = (row * columns) + column;
                if (away <= reach * reach && scene.Missing[at] == 0 && scene.Vegetation[at] >= least)
                {
                    scene.Canopy[at] = 1;
                }
            }
        }
    }

    private static double Distance(double x, double y, double otherX, double otherY) =>
        Math.Sqrt(((x - otherX) * (x - otherX)) + ((y - otherY) * (y - otherY)));
}
