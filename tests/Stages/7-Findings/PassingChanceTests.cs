using Hillrow.Earth;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Findings.Tests;

public sealed class PassingChanceTests
{
    private const int Side = 20;
    private static readonly FindingsSettings Settings = new();

    [Fact]
    public void Of_SoundBlock_NobodyPassed()
    {
        (GridPoint[] places, double[] before, double[] now) = Block(_ => (0, 0));
        Assert.All(PassingChance.Of(places, before, now, [], Settings), chance => Assert.InRange(chance, 0, 0.1));
    }

    /// <summary>A plant amid harm that came between the dates passed; amid harm that stood already it did not.</summary>
    [Fact]
    public void Of_HarmAround_SaysWhen()
    {
        (GridPoint[] places, double[] before, double[] now) = Block(place =>
            place.EastingMetres < 15 ? (0, 8)
            : place.EastingMetres > 35 ? (8, 8)
            : (0, 0)
        );
        double[] chances = PassingChance.Of(places, before, now, [], Settings);
        for (int at = 0; at < places.Length; at++)
        {
            if (places[at].EastingMetres < 10)
            {
                Assert.True(chances[at] > 0.8, $"{places[at]}: {chances[at]}");
            }
            else if (places[at].EastingMetres > 42)
            {
                Assert.True(chances[at] < 0.2, $"{places[at]}: {chances[at]}");
            }
        }
    }

    /// <summary>One plant that alone looks ill amid sound ones is no spread: its neighbours do not say so.</summary>
    [Fact]
    public void Of_AloneAmidSoundOnes_IsUnlikely()
    {
        (GridPoint[] places, double[] before, double[] now) = Block(_ => (0, 0));
        int alone = (Side * Side / 2) + (Side / 2);
        now[alone] = -9;
        Assert.True(PassingChance.Of(places, before, now, [], Settings)[alone] < 0.1);
    }

    /// <summary>Just over the threshold then, deep below it now, amid harm that came: its first verdict was chance.</summary>
    [Fact]
    public void Between_BarelyDecliningThenAmidNewHarm_IsNew()
    {
        PlantVerdict then = new(7, -3.4, 0.3, 0, Severity.Light, -1, 0);
        PlantVerdict today = new(7, -9, 0.3, 0, Severity.Severe, 0, 0);
        Assert.Equal(PlantChange.Standing, DeclineChange.Between([then], [today])[7]);
        Assert.Equal(
            PlantChange.New,
            DeclineChange.Between([then], [today], new Dictionary<long, double> { [7] = 0.7 })[7]
        );
    }

    private static (GridPoint[] Places, double[] Before, double[] Now) Block(Func<GridPoint, (double, double)> harm)
    {
        SplittableRandom draw = new(11);
        GridPoint[] places =
        [
            .. Enumerable.Range(0, Side * Side).Select(at => new GridPoint(at % Side * 2.5, at / Side * 2.5)),
        ];
        double[] before = new double[places.Length];
        double[] now = new double[places.Length];
        for (int at = 0; at < places.Length; at++)
        {
            (double then, double since) = harm(places[at]);
            before[at] = draw.NextGaussian() - then;
            now[at] = draw.NextGaussian() - since;
        }

        return (places, before, now);
    }
}
