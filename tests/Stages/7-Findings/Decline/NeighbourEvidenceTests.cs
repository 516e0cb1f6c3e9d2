using Hillrow.Numerics;
using Hillrow.Numerics.SpatialStatistics;
using Xunit;

namespace Hillrow.Findings.Tests;

public sealed class NeighbourEvidenceTests
{
    /// <summary>Plants in one row of 60, three neighbours to either side; plants 20 to 29 are poor.</summary>
    private static readonly NeighbourWeights Row = NeighbourWeights.Binary([
        .. Enumerable
            .Range(0, 60)
            .Select(at => Enumerable.Range(at - 3, 7).Where(other => other != at && other is >= 0 and < 60).ToArray()),
    ]);

    private static double[] Departures() =>
        [.. Enumerable.Range(0, 60).Select(at => at is >= 20 and < 30 ? -4.0 : 0.5)];

    [Fact]
    public void Weights_PatchInARow_AreHighInItLowFarFromItAndOneInTheMean()
    {
        double[] weights = NeighbourEvidence.Weights(Row, Departures());
        Assert.Equal(1, weights.Average(), 9);
        Assert.True(weights[25] > 4 * weights[50], $"{weights[25]} in the patch, {weights[50]} far from it");
        Assert.True(weights[19] > weights[10], "the plant beside the patch counts for more than one far from it");
    }

    [Fact]
    public void Weights_PlantsOwnDeparture_HasNoSayInItsOwnWeight()
    {
        double[] departures = Departures();
        double before = NeighbourEvidence.Weights(Row, departures)[25];
        departures[25] = 3;
        double[] after = NeighbourEvidence.Weights(Row, departures);
        // Only the block's share and the mean move, and both hardly: one plant in sixty.
        Assert.InRange(after[25] / before, 0.9, 1.25);
        Assert.True(after[25] > 4 * after[50]);
    }

    [Fact]
    public void Run_YoungPlant_IsNotJudgedAndItsPeersAreAsWithoutIt()
    {
        IReadOnlyList<ObservedPlant> plants = ModelBlock.Make(
            new SplittableRandom(6),
            12,
            20,
            (_, _) => false,
            loss: 0
        );
        ObservedPlant[] withYoung =
        [
            .. plants.Select(
                (plant, at) =>
                    at == 70
                        ? plant with
                        {
                            IsYoung = true,
                            Measures = [new(0.2, 0.01), new(0.6, 0.01), new(-2, 0.05), new(0.4, 0.02)],
                        }
                        : plant
            ),
        ];
        FindingsResult found = FindingsStage.Run(withYoung, new FindingsSettings());
        Assert.Equal(Severity.NotJudged, found.Plants[70].Severity);
        FindingsResult grown = FindingsStage.Run(
            [.. withYoung.Select(plant => plant with { IsYoung = false })],
            new FindingsSettings()
        );
        Assert.Equal(Severity.Severe, grown.Plants[70].Severity);
    }
}
