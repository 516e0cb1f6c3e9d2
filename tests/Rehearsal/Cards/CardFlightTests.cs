using System.Security.Cryptography;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

/// <summary>A whole small flight onto disk.</summary>
[Trait("Pace", "long")]
public sealed class CardFlightTests : IDisposable
{
    private readonly string root = Directory.CreateTempSubdirectory("cards").FullName;

    private static readonly RehearsedEstateSettings Settings = new()
    {
        Seed = 6,
        Hectares = 0.3,
        Thermal = true,
    };

    private static readonly Lazy<RehearsedEstate> Estate = new(() => RehearsedEstate.Build(Settings));

    public void Dispose() => Directory.Delete(root, recursive: true);

    [Fact]
    public void Fly_StoppedAndGoneOn_SameBytesAsInOneGo()
    {
        TruthFolder whole = Truth("whole");
        CardFlightResult once = Fly(whole, "card-whole", null, 2);
        Assert.Equal(6, once.Captures);
        Assert.Equal(6, once.Made);

        TruthFolder broken = Truth("broken");
        using CancellationTokenSource stop = new();
        int reported = 0;
        Assert.Throws<OperationCanceledException>(() =>
            Fly(
                broken,
                "card-broken",
                new Told(work =>
                {
                    if (work.What == "taking pictures" && ++reported == 3)
                    {
                        stop.Cancel();
                    }
                }),
                1,
                stop.Token
            )
        );
        CardFlightResult rest = Fly(broken, "card-broken", null, 1);
        Assert.Equal(3, rest.Made);
        Assert.Equal(Hashes("card-whole"), Hashes("card-broken"));
        // asked.json names the card's folder, which differs.
        Assert.Equal(
            Hashes("whole").Where(line => !line.Contains("asked.json", StringComparison.Ordinal)),
            Hashes("broken").Where(line => !line.Contains("asked.json", StringComparison.Ordinal))
        );
        Assert.Equal(0, Fly(broken, "card-broken", null, 2).Made);
    }

    [Fact]
    public void Fly_Finished_TruthReadsBackAndCardHoldsNoPathToIt()
    {
        TruthFolder truth = Truth("hidden-truth");
        Fly(truth, "card", null, 2);
        Assert.Equal(["2026-04-12"], truth.FlightIds());
        SurveyTruth read = SurveyTruth.Read(truth, "2026-04-12");
        Assert.True(read.Plants.Count > 100);
        Assert.NotEmpty(read.Gaps);
        Assert.Contains(read.Plants, plant => plant.SeenAreaSquareMetres > 0.3 && plant.SeenAreaSquareMetres < 4);
        foreach (string file in Directory.EnumerateFiles(Path.Combine(root, "card"), "*", SearchOption.AllDirectories))
        {
            Assert.DoesNotContain(
                "hidden-truth",
                System.Text.Encoding.Latin1.GetString(File.ReadAllBytes(file)),
                StringComparison.Ordinal
            );
        }
    }

    [Fact]
    public void Fly_OtherSettingsOntoTheSameCard_IsRefused()
    {
        TruthFolder truth = Truth("truth");
        Fly(truth, "card", null, 2);
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            CardFlight.Fly(
                Estate.Value,
                Flight(2) with
                {
                    CloudCover = 0.4,
                },
                Path.Combine(root, "card"),
                truth,
                null,
                default
            )
        );
        Assert.Contains("flown otherwise", problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Fly_GivenPlan_IsFlownAndNoOtherGoesOnWithIt()
    {
        Func<double, double, double> ground = HillsideTerrain.Smooth(Estate.Value.Model);
        PlannedCapture[] plan =
        [
            .. Enumerable
                .Range(0, 3)
                .Select(index => new PlannedCapture(
                    4 * index,
                    new Vector3D(6 * (index - 1), 2, ground(6 * (index - 1), 2) + 34),
                    75,
                    0
                )),
        ];
        TruthFolder truth = Truth("planned");
        CardFlightResult Go(IReadOnlyList<PlannedCapture> asked) =>
            CardFlight.Fly(
                Estate.Value,
                Flight(2) with
                {
                    Plan = asked,
                },
                Path.Combine(root, "card-planned"),
                truth,
                null,
                default
            );
        Assert.Equal(5, Go(plan).Captures);
        PoseTruth second = truth.Read<PoseTruth>(CardFlight.PoseFile("2026-04-12", 3));
        // Gusts push the aircraft off by decimetres, not by metres.
        Assert.Equal(0, second.PositionLocalMetres[0], 2.5);
        Assert.Equal(2, second.PositionLocalMetres[1], 2.5);
        plan[2] = plan[2] with { YawDegrees = 80 };
        Assert.Throws<InputProblemException>(() => Go(plan));
        Assert.Throws<InputProblemException>(() => Go([]));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(2)]
    [InlineData(25)]
    public void Problems_RaysThatFillNoPixel_AreTold(int rays) =>
        Assert.Contains("rays is " + rays, Assert.Single((Flight(1) with { Samples = rays }).Problems()));

    [Fact]
    public void Create_TruthInTheEstate_IsRefused() =>
        Assert.Throws<InputProblemException>(() =>
            TruthFolder.Create(Path.Combine(root, "estate", "truth"), Path.Combine(root, "estate"), Settings)
        );

    private TruthFolder Truth(string name) =>
        TruthFolder.Create(Path.Combine(root, name), Path.Combine(root, "estate"), Settings);

    private CardFlightResult Fly(
        TruthFolder truth,
        string card,
        IProgress<WorkProgress>? progress,
        int threads,
        CancellationToken cancel = default
    ) => CardFlight.Fly(Estate.Value, Flight(threads), Path.Combine(root, card), truth, progress, cancel);

    private static CardFlightSettings Flight(int threads) =>
        new("2026-04-12", new DateOnly(2026, 4, 12), CardDialect.Named("cerro"))
        {
            Captures = 4,
            HeightMetres = 30,
            Columns = 160,
            Rows = 120,
            Samples = 1,
            Threads = threads,
            TruthCellMetres = 0.1,
        };

    private List<string> Hashes(string folder) =>
        [
            .. Directory
                .EnumerateFiles(Path.Combine(root, folder), "*", SearchOption.AllDirectories)
                .Order(StringComparer.Ordinal)
                .Select(file =>
                    Path.GetRelativePath(Path.Combine(root, folder), file)
                    + " "
                    + Convert.ToHexString(SHA256.HashData(File.ReadAllBytes(file)))
                ),
        ];

    private sealed class Told(Action<WorkProgress> on) : IProgress<WorkProgress>
    {
        public void Report(WorkProgress value) => on(value);
    }
}
