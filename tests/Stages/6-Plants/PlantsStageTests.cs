using Hillrow.Checks;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Plants.Tests;

public sealed class PlantsStageTests(ITestOutputHelper output)
{
    [Theory]
    [InlineData(true, 0.66)]
    [InlineData(true, 0.85)]
    [InlineData(false, 0.66)]
    public void Run_ContourRowsWithGapsAndWeeds_FindsPlantsAndGaps(bool withHeight, double radius)
    {
        ModelledBlock block = ModelledBlock.Make(new ModelledPlanting { SideMetres = 40, RadiusMean = radius }, 7);
        PlantsResult result = PlantsStage.Run(
            block.Input(withHeight),
            new PlantsSettings { Threads = 2 },
            null,
            default
        );
        PlantScore score = PlantScore.Of(block, result.Blocks[0]);
        output.WriteLine(
            $"{result.Blocks[0].RowSpacingMetres:F2} x {result.Blocks[0].PlantSpacingMetres:F2}, rows {result.Blocks[0].Rows.Count}, plants {result.Blocks[0].Plants.Count} of {block.Plants.Count}, gaps {result.Blocks[0].Gaps.Count} of {block.Gaps.Count}\n{score}"
        );
        Assert.True(score.F1 >= 0.95, score.ToString());
        Assert.True(score.CountErrorShare <= 0.03, score.ToString());
        if (withHeight)
        {
            Assert.True(score.InnerGapRecall >= 0.85 && score.GapPrecision >= 0.8, score.ToString());
            Assert.True(Math.Abs(score.AreaBiasShare) <= 0.05, score.ToString());
            Assert.True(Math.Abs(score.HeightBiasMetres) <= 0.05, score.ToString());
        }
    }

    [Theory]
    [Trait("Pace", "long")]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    public void Run_FiveSeeds_HoldTheGoals(ulong seed)
    {
        ModelledPlanting planting = new() { SideMetres = 60, RadiusMean = seed % 2 == 0 ? 0.85 : 0.66 };
        ModelledBlock block = ModelledBlock.Make(planting, seed);
        System.Diagnostics.Stopwatch watch = System.Diagnostics.Stopwatch.StartNew();
        BlockPlants found = PlantsStage.Run(block.Input(true), new PlantsSettings(), null, default).Blocks[0];
        PlantScore score = PlantScore.Of(block, found);
        output.WriteLine(
            $"{found.RowSpacingMetres:F2} x {found.PlantSpacingMetres:F2} m, {found.Plants.Count} of {block.Plants.Count} plants, {watch.Elapsed.TotalSeconds:F1} s\n{score}"
        );
        Assert.True(score.F1 >= 0.97 && score.CountErrorShare <= 0.01, score.ToString());
        Assert.True(score.InnerGapRecall >= 0.9 && score.GapPrecision >= 0.9, score.ToString());
        Assert.True(Math.Abs(score.HeightBiasMetres) <= 0.05 && score.HeightRmseMetres <= 0.15, score.ToString());
        Assert.True(Math.Abs(score.AreaBiasShare) <= 0.03 && score.AreaRSquared >= 0.9, score.ToString());
    }

    [Fact]
    public void Run_OneOrThreeThreads_SameResult()
    {
        ModelledBlock block = ModelledBlock.Make(new ModelledPlanting { SideMetres = 30 }, 11);
        BlockPlants one = PlantsStage.Run(block.Input(true), new PlantsSettings { Threads = 1 }, null, default).Blocks[
            0
        ];
        BlockPlants three = PlantsStage
            .Run(block.Input(true), new PlantsSettings { Threads = 3 }, null, default)
            .Blocks[0];
        Assert.True(one.Crowns!.Band(0).SequenceEqual(three.Crowns!.Band(0)));
        Assert.Equal(
            one.Plants.Select(plant => (plant.Place, plant.TopHeightMetres, plant.CrownAreaSquareMetres)),
            three.Plants.Select(plant => (plant.Place, plant.TopHeightMetres, plant.CrownAreaSquareMetres))
        );
        Assert.Equal(one.Gaps, three.Gaps);
    }

    [Fact]
    public void Run_BlockOffTheMap_IsRefusedWithReason()
    {
        ModelledBlock block = ModelledBlock.Make(new ModelledPlanting { SideMetres = 12 }, 1);
        GridPolygon away = new([new(10, 10), new(40, 10), new(40, 40)]);
        PlantsResult result = PlantsStage.Run(
            new PlantsInput(MapLayer.Of(block.Reflectance), [new PlantBlock("Away", away)]),
            new PlantsSettings(),
            null,
            default
        );
        Assert.Equal(StageVerdict.Refused, result.Outcome.Verdict);
        Assert.Contains("Away", result.Outcome.Reasons[0], StringComparison.Ordinal);
    }

    [Fact]
    public void Run_NoNearInfrared_SaysWhichBandsThereAre()
    {
        ModelledBlock block = ModelledBlock.Make(new ModelledPlanting { SideMetres = 12 }, 1);
        PlantsInput input = new(MapLayer.Of(block.Surface), [new PlantBlock("A", block.Boundary)]);
        InputProblemException thrown = Assert.Throws<InputProblemException>(() =>
            PlantsStage.Run(input, new PlantsSettings(), null, default)
        );
        Assert.Contains("surface", thrown.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Run_HoleInTheMap_IsHiddenNotAGap()
    {
        ModelledBlock block = ModelledBlock.Make(
            new ModelledPlanting
            {
                SideMetres = 30,
                GapShare = 0,
                BendMetres = 1,
            },
            3
        );
        ModelledPlant victim = block.Plants.MinBy(plant => Math.Abs(plant.X - 15) + Math.Abs(plant.Y - 15))!;
        for (int row = 0; row < block.Grid.Rows; row++)
        {
            for (int column = 0; column < block.Grid.Columns; column++)
            {
                GridPoint place = block.Grid.CentreOf(row, column);
                double dx = place.EastingMetres - ModelledBlock.West - victim.X;
                double dy = place.NorthingMetres - ModelledBlock.South - victim.Y;
                if ((dx * dx) + (dy * dy) < 1)
                {
                    block.Reflectance[4, row, column] = float.NaN;
                }
            }
        }

        BlockPlants found = PlantsStage.Run(block.Input(true), new PlantsSettings(), null, default).Blocks[0];
        Assert.Contains(
            found.Hidden,
            hidden =>
                Math.Abs(hidden.Place.EastingMetres - ModelledBlock.West - victim.X) < 0.6
                && Math.Abs(hidden.Place.NorthingMetres - ModelledBlock.South - victim.Y) < 0.6
        );
        Assert.DoesNotContain(
            found.Gaps,
            gap =>
                Math.Abs(gap.Place.EastingMetres - ModelledBlock.West - victim.X) < 0.6
                && Math.Abs(gap.Place.NorthingMetres - ModelledBlock.South - victim.Y) < 0.6
        );
    }
}
