using Hillrow.Checks;
using Hillrow.Earth;
using Hillrow.Imaging;
using Xunit;

namespace Hillrow.Plants.Tests;

/// <summary>What becomes of plants that an earlier survey knew: kept under closed canopy, gone where bare, hidden otherwise.</summary>
public sealed class EarlierPlantsTests(ITestOutputHelper output)
{
    private static readonly ModelledPlanting Young = new()
    {
        SideMetres = 30,
        RadiusMean = 0.5,
        WeedsPerSquareMetre = 0.02,
        GapShare = 0.02,
    };

    [Fact]
    public void Run_CanopyClosesWithoutHeights_KeepsEveryKnownPlantAndSaysSo()
    {
        ModelledBlock first = ModelledBlock.Make(Young, 31);
        BlockPlants before = Find(first, null, withHeight: false);
        ModelledBlock closed = ModelledBlock.Redraw(
            Young,
            first.Plants.Select(plant => plant with { RadiusMetres = 1.7 }),
            32
        );
        (PlantMatch blind, BlockPlants alone) = Follow(before, closed, null, withHeight: false);
        (PlantMatch match, BlockPlants after) = Follow(before, closed, EarlierPlants.Of(before), withHeight: false);
        int kept = after.Plants.Count(plant => plant.Quality.HasFlag(PlantQuality.Inseparable));
        output.WriteLine(
            $"{before.Plants.Count} known; without them {alone.Plants.Count} found, {blind.Gone.Count} gone; with them {after.Plants.Count} stand, {kept} inseparable, {match.Gone.Count} gone, {match.Unseen.Count} unseen"
        );
        Assert.True(blind.Gone.Count > 0.5 * before.Plants.Count);
        Assert.Empty(match.Gone);
        Assert.True(match.Plants.Count(plant => plant.Number <= before.Plants.Count) >= 0.95 * before.Plants.Count);
        Assert.True(kept >= 0.9 * before.Plants.Count);
        Assert.All(after.Plants, plant => Assert.True(plant.CrownAreaSquareMetres.Value > 0));
        Assert.Contains(after.Outcome.Reasons, reason => reason.Contains("canopy is closed", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Run_PlantsDieOnBareGround_AreGoneAndNoStandingOneIs(bool withHeight)
    {
        ModelledBlock first = ModelledBlock.Make(Young, 33);
        BlockPlants before = Find(first, null, withHeight);
        ModelledPlant[] dead = [.. first.Plants.Where((_, at) => at % 12 == 5)];
        ModelledBlock later = ModelledBlock.Redraw(Young, first.Plants.Except(dead), 34);
        (PlantMatch match, _) = Follow(before, later, EarlierPlants.Of(before), withHeight);
        int gone = dead.Count(plant => NumberAt(before, plant) is { } number && match.Gone.Contains(number));
        output.WriteLine($"{dead.Length} dead, {gone} told gone of {match.Gone.Count}, {match.Unseen.Count} unseen");
        Assert.True(gone >= 0.85 * dead.Length);
        Assert.Equal(gone, match.Gone.Count);
    }

    [Fact]
    public void Run_PlacesLieInShadow_AreHiddenNotGone()
    {
        ModelledBlock first = ModelledBlock.Make(Young, 35);
        BlockPlants before = Find(first, null, withHeight: false);
        bool IsDark(double x, double y) => x is > 9 and < 16 && y is > 9 and < 16;
        ModelledBlock later = ModelledBlock.Redraw(Young, first.Plants.Where(plant => !IsDark(plant.X, plant.Y)), 36);
        Raster<float> shadow = new(RasterLabel.OfOneBand(later.Grid, "shadow"));
        for (int row = 0; row < later.Grid.Rows; row++)
        {
            for (int column = 0; column < later.Grid.Columns; column++)
            {
                double cell = later.Grid.CellSizeMetres;
                bool dark = IsDark((column + 0.5) * cell, Young.SideMetres - ((row + 0.5) * cell));
                shadow.Band(0)[(row * later.Grid.Columns) + column] = dark ? 1 : 0;
            }
        }

        int inside = first.Plants.Count(plant => plant.X is > 9.5 and < 15.5 && plant.Y is > 9.5 and < 15.5);
        (PlantMatch told, BlockPlants after) = Follow(
            before,
            later,
            EarlierPlants.Of(before),
            withHeight: false,
            MapLayer.Of(shadow)
        );
        output.WriteLine($"{inside} in shadow, {told.Unseen.Count} unseen, {told.Gone.Count} gone");
        // Those at the shadow's edge may be seen to be missing.
        Assert.DoesNotContain(
            told.Gone,
            number =>
            {
                GridPoint place = before.Plants[(int)number - 1].Place;
                (double x, double y) = (
                    place.EastingMetres - ModelledBlock.West,
                    place.NorthingMetres - ModelledBlock.South
                );
                return x is > 9.5 and < 15.5 && y is > 9.5 and < 15.5;
            }
        );
        Assert.True(told.Unseen.Count >= 0.9 * inside);
        Assert.True(after.Hidden.Count(place => place.IsKnownPlant && place.Reason == "in shadow") >= 0.8 * inside);

        // What was hidden is looked for again at the next date.
        Assert.True(EarlierPlants.Of(after)!.Plants.Count >= after.Plants.Count + (0.9 * inside));
    }

    [Fact]
    public void ChanceGone_Looks_FallsWithGreennessAndWithMissedPlants()
    {
        double[] found = [.. Enumerable.Range(0, 40).Select(at => 0.7 + (0.02 * (at % 5)))];
        double[] bare = [.. Enumerable.Range(0, 40).Select(at => 0.15 + (0.01 * (at % 5)))];
        StandingOdds sure = StandingOdds.Of(found, [0.15], bare, 0.05)!.Value;
        StandingOdds unsure = StandingOdds.Of(found, [.. Enumerable.Repeat(0.5, 40)], bare, 0.05)!.Value;
        Assert.True(sure.FoundShare > 0.97);
        Assert.Equal(0.5, unsure.FoundShare, 0.02);
        Assert.True(sure.ChanceGone(0.15) > 0.9);
        Assert.True(unsure.ChanceGone(0.15) < sure.ChanceGone(0.15));
        Assert.True(sure.ChanceGone(0.5) < 0.01);
        Assert.True(sure.ChanceGone(0.9) < 0.01);
        double last = 1;
        for (double look = 0.16; look < 0.8; look += 0.04)
        {
            Assert.True(sure.ChanceGone(look) <= last + 1e-12);
            last = sure.ChanceGone(look);
        }

        Assert.Null(StandingOdds.Of(found, [], [.. bare.Take(3)], 0.05));
        Assert.Null(StandingOdds.Of(found, [], found, 0.05));
    }

    [Fact]
    public void Trusted_FewOfManyFound_IsNoShift()
    {
        GridPoint[] known = [.. Enumerable.Range(0, 100).Select(at => new GridPoint(at % 10 * 1.5, at / 10 * 2.5))];
        GridPoint[] few =
        [
            .. known.Take(10).Select(place => new GridPoint(place.EastingMetres + 0.7, place.NorthingMetres)),
        ];
        GridPoint[] most =
        [
            .. known.Take(80).Select(place => new GridPoint(place.EastingMetres + 0.7, place.NorthingMetres)),
        ];
        Assert.Equal(-0.7, BlockShift.Of(known, most, 3).Trusted(known.Length).EastMetres, 0.05);
        Assert.Equal(0, BlockShift.Of(known, few, 3).Trusted(known.Length).EastMetres);
    }

    private static BlockPlants Find(
        ModelledBlock block,
        EarlierPlants? earlier,
        bool withHeight,
        MapLayer? shadow = null
    )
    {
        PlantsInput input = block.Input(withHeight);
        return PlantsStage
            .Run(
                input with
                {
                    Blocks = [input.Blocks[0] with { Earlier = earlier }],
                    Shadow = shadow,
                },
                new PlantsSettings(),
                null,
                default
            )
            .Blocks[0];
    }

    private static (PlantMatch Match, BlockPlants Found) Follow(
        BlockPlants before,
        ModelledBlock later,
        EarlierPlants? earlier,
        bool withHeight,
        MapLayer? shadow = null
    )
    {
        BlockPlants after = Find(later, earlier, withHeight, shadow);
        KnownPlant[] known =
        [
            .. before.Plants.Select(
                (plant, at) =>
                    new KnownPlant(
                        at + 1,
                        plant.Row,
                        plant.Place,
                        plant.PlaceSigmaMetres,
                        plant.TopHeightMetres.Value,
                        plant.CrownAreaSquareMetres.Value
                    )
            ),
        ];
        double spacing =
            double.IsFinite(after.PlantSpacingMetres) && after.PlantSpacingMetres > 0 ? after.PlantSpacingMetres : 1.5;
        return (PlantMatching.Match(known, after.Plants, after.Hidden, spacing, known.Length + 1), after);
    }

    private static long? NumberAt(BlockPlants found, ModelledPlant plant)
    {
        GridPoint place = PlantScore.Place(plant);
        for (int at = 0; at < found.Plants.Count; at++)
        {
            GridPoint other = found.Plants[at].Place;
            if (
                Math.Abs(other.EastingMetres - place.EastingMetres) < 0.5
                && Math.Abs(other.NorthingMetres - place.NorthingMetres) < 0.5
            )
            {
                return at + 1;
            }
        }

        return null;
    }
}
