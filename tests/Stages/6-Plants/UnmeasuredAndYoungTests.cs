using Hillrow.Checks;
using Hillrow.Earth;
using Hillrow.Imaging;
using Xunit;

namespace Hillrow.Plants.Tests;

/// <summary>Places where the surface fails or smears, and plants too young for the row's own search.</summary>
public sealed class UnmeasuredAndYoungTests(ITestOutputHelper output)
{
    [Fact]
    public void Run_SurfaceFilledInOverPartOfTheBlock_FindsItsPlantsByGreenness()
    {
        ModelledBlock block = ModelledBlock.Make(new ModelledPlanting { SideMetres = 40 }, 21);
        Raster<float> seen = new(RasterLabel.OfOneBand(block.Grid, "seen"));
        ModelledPlant[] unseen = [.. block.Plants.Where(plant => plant.X is > 12 and < 26 && plant.Y is > 12 and < 26)];
        for (int row = 0; row < block.Grid.Rows; row++)
        {
            for (int column = 0; column < block.Grid.Columns; column++)
            {
                int at = (row * block.Grid.Columns) + column;
                double x = (column + 0.5) * block.Grid.CellSizeMetres;
                double y = 40 - ((row + 0.5) * block.Grid.CellSizeMetres);
                bool filled = x is > 11 and < 27 && y is > 11 and < 27;
                seen.Band(0)[at] = filled ? 0 : 4;
                block.Surface.Band(0)[at] = filled ? block.Ground.Band(0)[at] : block.Surface.Band(0)[at];
            }
        }

        int Found(MapLayer? measured, out BlockPlants result)
        {
            result = PlantsStage
                .Run(block.Input(true) with { HeightSeen = measured }, new PlantsSettings(), null, default)
                .Blocks[0];
            GridPoint[] places = [.. result.Plants.Select(plant => plant.Place)];
            return unseen.Count(plant =>
                Array.Exists(
                    places,
                    place =>
                        Math.Abs(place.EastingMetres - ModelledBlock.West - plant.X) < 0.6
                        && Math.Abs(place.NorthingMetres - ModelledBlock.South - plant.Y) < 0.6
                )
            );
        }

        int told = Found(MapLayer.Of(seen), out BlockPlants byGreenness);
        int untold = Found(null, out _);
        output.WriteLine($"{unseen.Length} plants without height: {told} found when told so, {untold} when not");
        Assert.True(told >= 0.93 * unseen.Length);
        Assert.True(untold < 0.2 * unseen.Length);
        Assert.Contains(
            byGreenness.Plants,
            plant => plant.Quality.HasFlag(PlantQuality.NoHeight) && double.IsNaN(plant.TopHeightMetres.Value)
        );

        // An unmeasured crown lies beside its place on the map: nobody can say that nothing stands there.
        static bool Within(EmptyPosition at) =>
            at.Place.EastingMetres - ModelledBlock.West is > 12 and < 26
            && at.Place.NorthingMetres - ModelledBlock.South is > 12 and < 26;
        Assert.DoesNotContain(byGreenness.Gaps, Within);
        Assert.Contains(byGreenness.Hidden, at => Within(at) && at.Reason == "its height was not measured");
    }

    [Fact]
    public void Run_SurfaceSmearedOutwards_CrownsKeepTheirSize()
    {
        ModelledBlock block = ModelledBlock.Make(new ModelledPlanting { SideMetres = 30, WeedsPerSquareMetre = 0 }, 22);
        PlantScore sharp = ScoreOf(block);
        float[] before = block.Surface.Band(0).ToArray();
        int columns = block.Grid.Columns;
        const int reach = 3;
        for (int row = reach; row < block.Grid.Rows - reach; row++)
        {
            for (int column = reach; column < columns - reach; column++)
            {
                float top = float.NegativeInfinity;
                for (int r = -reach; r <= reach; r++)
                {
                    for (int c = -reach; c <= reach; c++)
                    {
                        top = Math.Max(top, before[((row + r) * columns) + column + c]);
                    }
                }

                block.Surface.Band(0)[(row * columns) + column] = top;
            }
        }

        PlantScore smeared = ScoreOf(block);
        output.WriteLine($"area bias {sharp.AreaBiasShare:P1} sharp, {smeared.AreaBiasShare:P1} smeared by 0.15 m");
        Assert.InRange(smeared.AreaBiasShare, -0.04, 0.04);
    }

    [Theory]
    [InlineData(0.22, 0.45, 0.92, true)] // a plant of its first year
    [InlineData(0.22, 0.05, 0.72, false)] // a tuft that lies flat
    [InlineData(0.80, 0.20, 0.75, false)] // a carpet of weeds
    [InlineData(0, 0, 0.3, false)] // nothing
    public void Best_BlobsOfManyKinds_TellsTheYoungPlant(double radius, double height, double ndvi, bool isPlant)
    {
        const int side = 51;
        const double cell = 0.05;
        float[] green = new float[side * side];
        float[] high = new float[side * side];
        byte[] allowed = new byte[side * side];
        for (int at = 0; at < green.Length; at++)
        {
            double x = (((at % side) - 25) * cell) - 0.1;
            double y = (((at / side) - 25) * cell) + 0.05;
            double off = Math.Sqrt((x * x) + (y * y));
            green[at] = off < radius ? (float)ndvi : 0.3f;
            high[at] = off < radius ? (float)height : 0.02f;
            allowed[at] = off < 0.7 ? (byte)1 : (byte)0;
        }

        (int row, int column, double chance) =
            YoungPlant.Best(green, high, allowed, side, side, cell, 25.5, 25.5) ?? (0, 0, 0);
        output.WriteLine($"chance {chance:F2} at {row}, {column}");
        Assert.Equal(isPlant, chance > 0.35);
        if (isPlant)
        {
            Assert.InRange(row, 22, 26);
            Assert.InRange(column, 25, 29);
        }
    }

    private static PlantScore ScoreOf(ModelledBlock block) =>
        PlantScore.Of(block, PlantsStage.Run(block.Input(true), new PlantsSettings(), null, default).Blocks[0]);
}
