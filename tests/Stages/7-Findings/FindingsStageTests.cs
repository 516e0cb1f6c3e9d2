using Hillrow.Earth;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Findings.Tests;

public sealed class FindingsStageTests
{
    private static readonly FindingsSettings Settings = new() { Shuffles = 199 };

    [Fact]
    public void Run_PatchOnSoilGradient_FindsThePatchAndNotTheGradient()
    {
        static bool Sick(int row, int place) => row is >= 10 and < 15 && place is >= 20 and < 27;
        IReadOnlyList<ObservedPlant> plants = ModelBlock.Make(new SplittableRandom(1), 40, 60, Sick, loss: 4);
        FindingsResult result = FindingsStage.Run(plants, Settings);
        int truePositive = 0;
        int falsePositive = 0;
        for (int at = 0; at < plants.Count; at++)
        {
            bool sick = Sick(at / 60, at % 60);
            truePositive += sick && result.Plants[at].Declining ? 1 : 0;
            falsePositive += !sick && result.Plants[at].Declining ? 1 : 0;
        }

        Assert.True(truePositive >= 33, $"{truePositive} of 35 sick plants found");
        Assert.True(falsePositive <= 12, $"{falsePositive} false alarms among 2365");
        DeclinePatch patch = Assert.Single(result.Patches);
        Assert.True(patch.Plants.Count >= 30);
        Assert.True(patch.Outline.Contains(new GridPoint(500_000 + (23 * 1.5), 9_200_000 + (12 * 2.5))));
        Assert.Equal(StageVerdict.Done, result.Outcome.Verdict);
    }

    [Fact]
    public void Run_HealthyBlock_FalseAlarmsStayRare()
    {
        int declining = 0;
        int patches = 0;
        for (ulong seed = 1; seed <= 5; seed++)
        {
            FindingsResult result = FindingsStage.Run(
                ModelBlock.Make(new SplittableRandom(seed), 30, 40, (_, _) => false, loss: 0, gradient: 0.1),
                Settings
            );
            declining += result.Plants.Count(plant => plant.Declining);
            patches += result.Patches.Count;
        }

        // Benjamini-Hochberg at 5 % with no true decline: a whole run calls anything in 1 of 20 runs.
        Assert.True(declining <= 6, $"{declining} of 6000 healthy plants called declining");
        Assert.Equal(0, patches);
    }

    [Fact]
    public void Run_AnyThreadCount_SameVerdicts()
    {
        IReadOnlyList<ObservedPlant> plants = ModelBlock.Make(
            new SplittableRandom(4),
            20,
            30,
            (row, place) => row < 4 && place < 6,
            loss: 4
        );
        FindingsResult one = FindingsStage.Run(plants, Settings with { Threads = 1 });
        FindingsResult two = FindingsStage.Run(plants, Settings with { Threads = 2 });
        Assert.Equal(one.Plants, two.Plants);
    }

    [Fact]
    public void Run_NoMeasures_NotJudgedAndSaidSo()
    {
        ObservedPlant[] plants =
        [
            .. Enumerable
                .Range(0, 100)
                .Select(at => new ObservedPlant(at, "Bare", new GridPoint(at % 10, at / 10), 0, [Measured.Missing])),
        ];
        FindingsResult result = FindingsStage.Run(plants, Settings);
        Assert.All(result.Plants, plant => Assert.Equal(Severity.NotJudged, plant.Severity));
        Assert.Equal(StageVerdict.Degraded, result.Outcome.Verdict);
        Assert.Contains("Bare", result.Outcome.Reasons[0], StringComparison.Ordinal);
    }

    [Fact]
    public void Run_NoPlants_IsRefused() =>
        Assert.Equal(StageVerdict.Refused, FindingsStage.Run([], Settings).Outcome.Verdict);

    [Fact]
    public void Run_ZonesFollowTheGradient_WeakestFirst()
    {
        IReadOnlyList<ObservedPlant> plants = ModelBlock.Make(
            new SplittableRandom(7),
            30,
            30,
            (_, _) => false,
            loss: 0,
            gradient: 0.15
        );
        FindingsResult result = FindingsStage.Run(plants, Settings);
        // NDRE falls with the row number in the model: the last rows are the weakest zone.
        Assert.All(result.Plants.TakeLast(30), plant => Assert.Equal(0, plant.Zone));
        Assert.All(result.Plants.Take(30), plant => Assert.Equal(2, plant.Zone));
    }

    [Fact]
    public void Incidence_ClumpedPlants_WidensTheInterval()
    {
        static bool Clump(int row, int place) => row < 10 && place < 10;
        FindingsResult clumped = FindingsStage.Run(
            ModelBlock.Make(new SplittableRandom(2), 40, 40, Clump, loss: 6),
            Settings
        );
        SplittableRandom scatter = new(9);
        HashSet<(int, int)> random = [];
        while (random.Count < 100)
        {
            random.Add((scatter.NextInt32(40), scatter.NextInt32(40)));
        }

        FindingsResult scattered = FindingsStage.Run(
            ModelBlock.Make(new SplittableRandom(2), 40, 40, (row, place) => random.Contains((row, place)), loss: 6),
            Settings
        );
        double clumpedWidth = clumped.Blocks[0].ShareInterval.High - clumped.Blocks[0].ShareInterval.Low;
        double scatteredWidth = scattered.Blocks[0].ShareInterval.High - scattered.Blocks[0].ShareInterval.Low;
        Assert.True(clumpedWidth > 1.8 * scatteredWidth, $"{clumpedWidth} against {scatteredWidth}");
        Assert.InRange(
            clumped.Blocks[0].Share,
            clumped.Blocks[0].ShareInterval.Low,
            clumped.Blocks[0].ShareInterval.High
        );
    }

    [Fact]
    public void Settings_OutOfRange_AllToldTogether()
    {
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            FindingsStage.Run(
                ModelBlock.Make(new SplittableRandom(2), 4, 4, (_, _) => false, 0),
                new FindingsSettings { FalseDiscoveryRate = 2, Zones = 0 }
            )
        );
        Assert.Contains("falseDiscoveryRate", problem.Message, StringComparison.Ordinal);
        Assert.Contains("zones", problem.Message, StringComparison.Ordinal);
    }
}
