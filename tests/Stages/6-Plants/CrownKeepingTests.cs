using Hillrow.Checks;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Plants.Tests;

/// <summary>How crowns and masks are kept and drawn: against plain twins.</summary>
public sealed class CrownKeepingTests
{
    [Fact]
    public void KeepWide_TallerThanSeveralStrips_IsTheOpeningOfTheWholeMask()
    {
        const int rows = 1300;
        const int columns = 24;
        const double radius = 3;
        SplittableRandom random = new(11);
        byte[] mask = new byte[rows * columns];
        for (int blot = 0; blot < 260; blot++)
        {
            (int row, int column) = (random.NextInt32(rows), random.NextInt32(columns));
            int reach = 1 + random.NextInt32(6);
            for (int at = 0; at < mask.Length; at++)
            {
                int r = (at / columns) - row;
                int c = (at % columns) - column;
                mask[at] |= (r * r) + (c * c) <= reach * reach ? (byte)1 : (byte)0;
            }
        }

        byte[] wanted = OpenedPlainly(mask, rows, columns, radius);
        Assert.Contains((byte)1, wanted);
        Assert.NotEqual(mask, wanted);
        MaskReach.KeepWide(mask, rows, columns, radius);
        Assert.Equal(wanted, mask);
    }

    [Fact]
    public void KeepWide_WholeMaskSet_StaysSet()
    {
        byte[] mask = new byte[700 * 5];
        mask.AsSpan().Fill(1);
        MaskReach.KeepWide(mask, 700, 5, 2);
        Assert.DoesNotContain((byte)0, mask);
    }

    [Fact]
    public void CellRuns_OfAnyCells_WriteThemBackAndLeaveWhatIsTaken()
    {
        int[] cells = [3, 4, 5, 9, 10, 12];
        IReadOnlyList<CellRun> runs = CellRun.Of(cells, 7);
        Assert.Equal([new CellRun(3, 3, 7), new CellRun(9, 2, 7), new CellRun(12, 1, 7)], runs);
        int[] crowns = new int[14];
        crowns[4] = 2;
        foreach (CellRun run in runs)
        {
            run.Write(crowns);
        }

        Assert.Equal([0, 0, 0, 7, 2, 7, 0, 0, 0, 7, 7, 0, 7, 0], crowns);
    }

    [Fact]
    public void CrownOutlines_OfAFoundBlock_HoldEachCrownsCellsAndItsPlace()
    {
        ModelledBlock block = ModelledBlock.Make(new ModelledPlanting { SideMetres = 20 }, 3);
        BlockPlants found = PlantsStage.Run(block.Input(true), new PlantsSettings(), null, default).Blocks[0];
        Raster<int> crowns = found.Crowns!;
        IReadOnlyList<CrownOutline> outlines = CrownOutlines.Of(crowns);
        Assert.Equal(found.Plants.Select(plant => plant.Index), outlines.Select(outline => outline.Plant));
        double cellArea = crowns.Grid.CellSizeMetres * crowns.Grid.CellSizeMetres;
        foreach (CrownOutline outline in outlines)
        {
            int cells = crowns.Band(0).Count(outline.Plant);
            Assert.Equal(cells * cellArea, outline.Polygons.Sum(polygon => polygon.AreaSquareMetres), 6);
            PlantRecord plant = found.Plants.Single(one => one.Index == outline.Plant);
            Assert.True(
                outline.Polygons[0].WestMetres < plant.Place.EastingMetres + 1
                    && outline.Polygons[0].EastMetres > plant.Place.EastingMetres - 1
                    && outline.Polygons[0].SouthMetres < plant.Place.NorthingMetres + 1
                    && outline.Polygons[0].NorthMetres > plant.Place.NorthingMetres - 1
            );
        }
    }

    [Fact]
    public void Stage_MapsWithErrors_StatesIntervalsThatNeitherMissNorSwallowTheTruth()
    {
        IntervalScore score = new();
        for (ulong seed = 1; seed <= 3; seed++)
        {
            ModelledSurvey survey = ModelledSurvey.Make(new ModelledPlanting { SideMetres = 25 }, seed);
            score.Add(survey, PlantsStage.Run(survey.Input, new PlantsSettings(), null, default).Blocks[0]);
        }

        // Three small blocks share few patches of light: wide bounds, which the figures of decision 44 narrow.
        IReadOnlyList<IntervalClass> classes = score.Result();
        Assert.Equal(11 * 3, classes.Count);
        Assert.All(classes, one => Assert.InRange(one.Coverage, 0.5, 1));
        Assert.All(classes, one => Assert.InRange(one.WidthRatio, 0.4, 3));
    }

    private static byte[] OpenedPlainly(byte[] mask, int rows, int columns, double radius)
    {
        int reach = (int)Math.Floor(radius);
        bool Any(byte[] cells, int at, byte value)
        {
            for (int r = -reach; r <= reach; r++)
            {
                for (int c = -reach; c <= reach; c++)
                {
                    (int row, int column) = ((at / columns) + r, (at % columns) + c);
                    bool inside = row >= 0 && column >= 0 && row < rows && column < columns;
                    if (inside && (r * r) + (c * c) <= radius * radius && cells[(row * columns) + column] == value)
                    {
                        return true;
                    }
                }
            }

            return false;
        }

        byte[] core = [.. mask.Select((_, at) => Any(mask, at, 0) ? (byte)0 : (byte)1)];
        return [.. mask.Select((own, at) => own != 0 && Any(core, at, 1) ? (byte)1 : (byte)0)];
    }
}
