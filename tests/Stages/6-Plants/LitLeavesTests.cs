using Hillrow.Checks;
using Hillrow.Imaging;
using Xunit;

namespace Hillrow.Plants.Tests;

/// <summary>Leaves in full sun look the same whichever side of a crown is lit, and a crown in shade tells nothing.</summary>
public sealed class LitLeavesTests
{
    private const string Lit = "NDVI lit leaves";

    // What is left of near infrared and red: thin shade of a few leaves, and a neighbour's full shade, where the sky alone shines.
    private static readonly (float Nir, float Red) Thin = (0.68f, 0.95f);
    private static readonly (float Nir, float Red) Full = (0.5f, 0.7f);

    [Fact]
    public void Run_StripesOfShade_MoveTheCrownsNdviButNotItsLitLeaves()
    {
        IReadOnlyDictionary<(int, int), PlantRecord> bright = Plants(_ => false, Thin);
        IReadOnlyDictionary<(int, int), PlantRecord> striped = Plants(place => place.Column % 24 < 12, Thin);
        (double Crown, double Leaves)[] moved =
        [
            .. striped
                .Where(plant => bright.ContainsKey(plant.Key) && double.IsFinite(Of(plant.Value, Lit)))
                .Select(plant =>
                    (
                        Of(plant.Value, "NDVI") - Of(bright[plant.Key], "NDVI"),
                        Of(plant.Value, Lit) - Of(bright[plant.Key], Lit)
                    )
                ),
        ];
        Assert.True(moved.Length > 50, $"{moved.Length} plants");
        Assert.InRange(moved.Average(plant => plant.Leaves), -0.006, 0.006);
        Assert.True(
            moved.Average(plant => Math.Abs(plant.Leaves)) < 0.5 * moved.Average(plant => Math.Abs(plant.Crown))
        );
    }

    [Fact]
    public void Run_CrownsWhollyInShade_HaveNoLitLeaves()
    {
        IReadOnlyDictionary<(int, int), PlantRecord> shaded = Plants(place => place.Column < 200, Full);
        PlantRecord[] all = [.. shaded.Values];
        double west = all.Min(plant => plant.Place.EastingMetres);
        double cell = 0.05;
        PlantRecord[] inside = [.. all.Where(plant => plant.Place.EastingMetres < west + (110 * cell))];
        PlantRecord[] outside = [.. all.Where(plant => plant.Place.EastingMetres > west + (260 * cell))];
        Assert.True(inside.Length > 5 && outside.Length > 20, $"{inside.Length}, {outside.Length}");
        Assert.All(inside, plant => Assert.False(double.IsFinite(Of(plant, Lit))));
        Assert.True(outside.Count(plant => double.IsFinite(Of(plant, Lit))) > 0.9 * outside.Length);
    }

    [Theory]
    [InlineData(0.5, 0.5, 0.40)] // an ordinary crown: its own level counts
    [InlineData(0.2, 0.5, 0.36)] // a dark one: the block's
    public void Floor_IsTheHigherOfTheCrownsAndTheBlocks(double crown, double block, double expected) =>
        Assert.Equal(expected, LitLeaves.Floor(crown, block), 1e-9);

    [Fact]
    public void BrightOf_Nothing_IsUnknown() => Assert.True(float.IsNaN(LitLeaves.BrightOf([])));

    private static IReadOnlyDictionary<(int, int), PlantRecord> Plants(
        Func<(int Row, int Column), bool> isShaded,
        (float Nir, float Red) shade
    )
    {
        ModelledBlock block = ModelledBlock.Make(new ModelledPlanting { SideMetres = 24 }, 7);
        Raster<float> map = block.Reflectance;
        foreach ((string band, float left) in new[] { ("nir", shade.Nir), ("red", shade.Red) })
        {
            Span<float> cells = map.Band(band);
            for (int at = 0; at < cells.Length; at++)
            {
                cells[at] *= isShaded((at / map.Columns, at % map.Columns)) ? left : 1;
            }
        }

        return PlantsStage
            .Run(block.Input(withHeight: true), new PlantsSettings { Threads = 2 }, null, default)
            .Blocks[0]
            .Plants.ToDictionary(plant => (plant.Row, plant.PositionInRow));
    }

    private static double Of(PlantRecord plant, string name) =>
        plant.Values.Single(value => value.Name == name).Mean.Value;
}
