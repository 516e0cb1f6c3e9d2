using Hillrow.Earth;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Findings.Tests;

public sealed class WalkTourTests
{
    /// <summary>Judge: the exact shortest round by dynamic programming (Held &amp; Karp 1962, doi 10.1137/0110015).</summary>
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    public void Round_TenPlacesOnASlope_IsWithinTwoPercentOfTheShortest(ulong seed)
    {
        const int Count = 10;
        double[] costs = SlopeCosts(seed, Count);
        int[] tour = WalkTour.Round(costs, Count);
        Assert.Equal(0, tour[0]);
        Assert.Equal(Enumerable.Range(0, Count), tour.Order());
        Assert.InRange(WalkTour.Cost(costs, Count, tour) / Shortest(costs, Count), 1 - 1e-12, 1.02);
    }

    [Fact]
    public void Round_Ring_WalksItAround()
    {
        const int Count = 24;
        double[] costs = new double[Count * Count];
        int[] order = [.. Enumerable.Range(0, Count).Select(at => at * 7 % Count)];
        for (int a = 0; a < Count; a++)
        {
            for (int b = 0; b < Count; b++)
            {
                double turn = Math.Tau * (order[a] - order[b]) / Count;
                costs[(a * Count) + b] = Math.Sqrt(2 - (2 * Math.Cos(turn)));
            }
        }

        double round = Count * 2 * Math.Sin(Math.PI / Count);
        Assert.Equal(round, WalkTour.Cost(costs, Count, WalkTour.Round(costs, Count)), 1e-9);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void Round_FewPlaces_HasEachOnce(int count) =>
        Assert.Equal(Enumerable.Range(0, count), WalkTour.Round(SlopeCosts(9, Math.Max(1, count)), count).Order());

    private static double[] SlopeCosts(ulong seed, int count)
    {
        SplittableRandom draw = new(seed);
        (double East, double North)[] places =
        [
            .. Enumerable.Range(0, count).Select(_ => (draw.NextDouble(0, 200), draw.NextDouble(0, 200))),
        ];
        double[] costs = new double[count * count];
        for (int a = 0; a < count; a++)
        {
            for (int b = 0; b < count; b++)
            {
                double run = Math.Sqrt(
                    Math.Pow(places[a].East - places[b].East, 2) + Math.Pow(places[a].North - places[b].North, 2)
                );
                double slope = run > 0 ? 0.3 * (places[b].North - places[a].North) / run : 0;
                costs[(a * count) + b] = run / Math.Exp(-3.5 * Math.Abs(slope + 0.05));
            }
        }

        return costs;
    }

    private static double Shortest(double[] costs, int count)
    {
        int sets = 1 << count;
        double[] best = new double[sets * count];
        Array.Fill(best, double.PositiveInfinity);
        best[count] = 0; // the set of place 0 alone, standing at 0
        for (int set = 1; set < sets; set += 2)
        {
            for (int at = 0; at < count; at++)
            {
                double here = best[(set * count) + at];
                if (double.IsInfinity(here))
                {
                    continue;
                }

                for (int next = 1; next < count; next++)
                {
                    if ((set & (1 << next)) == 0)
                    {
                        int with = ((set | (1 << next)) * count) + next;
                        best[with] = Math.Min(best[with], here + costs[(at * count) + next]);
                    }
                }
            }
        }

        return Enumerable.Range(1, count - 1).Min(at => best[((sets - 1) * count) + at] + costs[at * count]);
    }
}

public sealed class WalkingGroundTests
{
    private static readonly WalkSettings Settings = new();

    /// <summary>On level ground the way is straight: time is the distance at the level speed off the path.</summary>
    [Fact]
    public void From_LevelGround_TakesTheDistanceAtTheLevelSpeed()
    {
        WalkingGround ground = new(Plants(_ => 0), [], Settings);
        GridPoint start = new(2, 2);
        GridPoint end = new(82, 2);
        double minutes = ground.From(start).Minutes[ground.CellOf(end)];
        Assert.Equal(80 / (100 * Math.Exp(-3.5 * 0.05) * 0.6), minutes, 0.1);
    }

    [Fact]
    public void From_Slope_UpTakesLongerThanDown()
    {
        WalkingGround ground = new(Plants(place => 0.3 * place.NorthingMetres), [], Settings);
        GridPoint low = new(40, 2);
        GridPoint high = new(40, 82);
        double up = ground.From(low).Minutes[ground.CellOf(high)];
        double down = ground.From(high).Minutes[ground.CellOf(low)];
        Assert.True(up > 1.2 * down, $"up {up}, down {down}");
    }

    [Fact]
    public void From_Track_IsTakenWhereItIsFaster()
    {
        GridPoint[] track = [new(-10, 42), new(100, 42)];
        WalkingGround plain = new(Plants(_ => 0), [], Settings);
        WalkingGround tracked = new(Plants(_ => 0), [track], Settings);
        GridPoint start = new(2, 42);
        GridPoint end = new(90, 42);
        double without = plain.From(start).Minutes[plain.CellOf(end)];
        double with = tracked.From(start).Minutes[tracked.CellOf(end)];
        Assert.Equal(0.6, with / without, 0.02);
    }

    [Fact]
    public void WayTo_AnyEnd_StartsAndEndsThere()
    {
        WalkingGround ground = new(Plants(place => 0.2 * place.EastingMetres), [], Settings);
        GridPoint start = new(5, 5);
        GridPoint end = new(70, 60);
        (IReadOnlyList<GridPoint> way, double metres, double steepest) = ground.WayTo(
            start,
            end,
            ground.From(start).Came
        );
        Assert.Equal(start, way[0]);
        Assert.Equal(end, way[^1]);
        Assert.InRange(metres, Math.Sqrt((65 * 65) + (55 * 55)) * 0.9, Math.Sqrt((65 * 65) + (55 * 55)) * 1.2);
        Assert.InRange(steepest, 0.05, 0.25);
    }

    private static IReadOnlyList<ObservedPlant> Plants(Func<GridPoint, double> height) =>
        [
            .. Enumerable
                .Range(0, 30 * 30)
                .Select(at => new GridPoint(at % 30 * 3.0, at / 30 * 3.0))
                .Select((place, at) => new ObservedPlant(at + 1, "a", place, height(place), [])),
        ];
}
