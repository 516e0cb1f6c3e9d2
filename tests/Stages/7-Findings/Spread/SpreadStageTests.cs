using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Findings.Tests;

public sealed class SpreadStageTests
{
    private static JudgedSurvey Survey(DateOnly day, double radius, ulong seed)
    {
        IReadOnlyList<ObservedPlant> plants = ModelBlock.Make(
            new SplittableRandom(seed),
            40,
            50,
            (row, place) =>
                Math.Pow((row - 20) * ModelBlock.RowSpacing, 2) + Math.Pow((place - 25) * ModelBlock.PlantSpacing, 2)
                < radius * radius,
            loss: 4
        );
        return new JudgedSurvey(day, plants, FindingsStage.Run(plants, new FindingsSettings()));
    }

    [Fact]
    public void Between_PatchThatGrew_TellsNewPlantsFrontAndReach()
    {
        JudgedSurvey before = Survey(new DateOnly(2026, 4, 1), 7, 3);
        JudgedSurvey now = Survey(new DateOnly(2026, 7, 10), 10, 4);
        SpreadResult spread = SpreadStage.Between(before, now);
        Assert.Equal(100, spread.Days);
        Assert.InRange(spread.MeanSpeedMetresPerDay, 0.02, 0.04);
        int ring = now
            .Plants.Zip(before.Found.Plants, now.Found.Plants)
            .Count(plant => !plant.Second.Declining && plant.Third.Declining);
        Assert.InRange(spread.Changes.Values.Count(change => change == PlantChange.New), 20, ring);
        Assert.True(Assert.IsType<InfectionModel>(spread.Infection).AkaikeGain > 20);
        Assert.Equal(now.Plants.Count, spread.Transitions.Sum(transition => transition.Plants));
        Assert.All(spread.Risk.Values, chance => Assert.InRange(chance, 0, 1));
    }

    [Fact]
    public void Between_DaysTheWrongWayRound_Throws()
    {
        JudgedSurvey one = Survey(new DateOnly(2026, 4, 1), 7, 3);
        Assert.Throws<ArgumentException>(() => SpreadStage.Between(one, one));
    }

    [Fact]
    public void Trend_RisingShares_RisesBeyondItsInterval()
    {
        DateOnly first = new(2024, 1, 1);
        IncidenceTrend rising = Assert.IsType<IncidenceTrend>(
            IncidenceTrend.Of([
                (first, 1000, 20, 2),
                (first.AddYears(1), 1000, 45, 2),
                (first.AddYears(2), 1000, 90, 2),
            ])
        );
        Assert.True(rising.IsRising);
        // The odds about double a year: ln 2 = 0.69 and a little more.
        Assert.InRange(rising.PerYear, 0.6, 0.95);
        IncidenceTrend level = Assert.IsType<IncidenceTrend>(
            IncidenceTrend.Of([
                (first, 1000, 50, 2),
                (first.AddYears(1), 1000, 47, 2),
                (first.AddYears(2), 1000, 52, 2),
            ])
        );
        Assert.False(level.IsRising || level.IsFalling);
        Assert.Null(IncidenceTrend.Of([(first, 1000, 50, 2), (first.AddYears(1), 1000, 47, 2)]));
    }
}
