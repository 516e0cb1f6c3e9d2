using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed class PlantingHistoryTests
{
    private static readonly EstateSettings Settings = new() { Seed = 9 };
    private static readonly EstateLayout Layout = EstateLayout.Build(Settings);
    private static readonly IReadOnlyList<PlantingOnDay> Days = PlantingHistory.Build(Settings, Layout);

    [Fact]
    public void Build_SameSeed_GivesTheSamePlants()
    {
        IReadOnlyList<PlantingOnDay> again = PlantingHistory.Build(Settings, Layout);
        Assert.Equal(Days[1].Plants, again[1].Plants);
    }

    [Fact]
    public void Build_TwoDates_KeepsPlantsInPlaceAndSharesAsAsked()
    {
        Dictionary<int, PlantState> first = Days[0].Plants.ToDictionary(state => state.Plant.Number);
        Dictionary<int, PlantState> byPosition = Days[0].Plants.ToDictionary(state => state.Plant.Position);
        int replanted = 0;
        int dead = 0;
        foreach (PlantState state in Days[1].Plants)
        {
            if (first.TryGetValue(state.Plant.Number, out PlantState? before))
            {
                Assert.Equal(before.Plant, state.Plant);
                dead += state.IsDead ? 1 : 0;
            }
            else
            {
                replanted++;
                if (byPosition.TryGetValue(state.Plant.Position, out PlantState? old))
                {
                    double dx = state.Plant.EastMetres - old.Plant.EastMetres;
                    double dy = state.Plant.NorthMetres - old.Plant.NorthMetres;
                    Assert.Equal(0.3, Math.Sqrt((dx * dx) + (dy * dy)), 1e-9);
                }

                Assert.True(state.HeightMetres < 1);
            }
        }

        double count = Days[0].Plants.Count;
        Assert.InRange(replanted / count, 0.02, 0.04);
        Assert.InRange(dead / count, 0.02, 0.04);
        Assert.InRange(Days[0].Gaps.Count / (count + Days[0].Gaps.Count), 0.035, 0.075);
    }

    [Fact]
    public void Build_RowsInOpenBlock_FollowTheContour()
    {
        Func<double, double, double> height = HillsideTerrain.Smooth(Settings);
        List<double> falls = [];
        foreach (
            IGrouping<(int, int), PlantState> row in Days[0]
                .Plants.Where(state => Layout.Blocks[state.Plant.BlockIndex].Kind == BlockKind.Open)
                .GroupBy(state => (state.Plant.BlockIndex, state.Plant.Row))
        )
        {
            PlantState[] ordered = [.. row.OrderBy(state => state.Plant.EastMetres)];
            for (int index = 1; index < ordered.Length; index++)
            {
                (Plant a, Plant b) = (ordered[index - 1].Plant, ordered[index].Plant);
                double run = Math.Sqrt(
                    Math.Pow(a.EastMetres - b.EastMetres, 2) + Math.Pow(a.NorthMetres - b.NorthMetres, 2)
                );
                falls.Add(Math.Abs(height(a.EastMetres, a.NorthMetres) - height(b.EastMetres, b.NorthMetres)) / run);
            }
        }

        // The hillside falls by 15 to 40 %; along a row it hardly does.
        falls.Sort();
        Assert.True(falls[falls.Count / 2] < 0.05, $"median fall along a row {falls[falls.Count / 2]:P1}");
    }

    [Fact]
    public void Build_UntreatedPatch_SpreadsAndThinsItsPlants()
    {
        double before = Harm(Days[0], treated: false);
        double after = Harm(Days[1], treated: false);
        Assert.True(after > 1.5 * before, $"harm {before:F2} to {after:F2}");
        PlantState[] sick = [.. Days[1].Plants.Where(state => state.PestSeverity > 0.5 && !state.IsDead)];
        Assert.NotEmpty(sick);
        Assert.All(sick, state => Assert.True(state.FoliageDensity < 0.72));
    }

    private static double Harm(PlantingOnDay day, bool treated) =>
        day
            .Plants.Where(state => Layout.Blocks[state.Plant.BlockIndex].Treated == treated)
            .Sum(state => state.PestSeverity);
}
