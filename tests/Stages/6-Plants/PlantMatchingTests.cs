using Hillrow.Checks;
using Hillrow.Earth;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Plants.Tests;

public sealed class PlantMatchingTests
{
    private const double Spacing = 1.5;

    [Fact]
    public void Match_ShiftedSurveyWithDeadAndReplanted_KeepsEveryIdentity()
    {
        (List<KnownPlant> known, SplittableRandom random) = Ledger(5, 30, 40);
        List<PlantRecord> found = [];
        List<long?> truth = [];
        HashSet<long> dead = [];
        foreach (KnownPlant plant in known)
        {
            double fate = random.NextDouble();
            if (fate < 0.03)
            {
                dead.Add(plant.Number);
                continue;
            }

            bool replanted = fate < 0.06;
            double off = replanted ? 0.3 : 0;
            double turn = random.NextDouble() * Math.Tau;
            found.Add(
                See(
                    plant.Row,
                    plant.Place.EastingMetres - 1.2 + (off * Math.Cos(turn)) + (0.05 * random.NextGaussian()),
                    plant.Place.NorthingMetres + 0.4 + (off * Math.Sin(turn)) + (0.05 * random.NextGaussian()),
                    replanted ? 0.5 : plant.HeightMetres * (1.1 + (0.05 * random.NextGaussian()))
                )
            );
            truth.Add(replanted ? null : plant.Number);
            if (replanted)
            {
                dead.Add(plant.Number);
            }
        }

        PlantMatch match = PlantMatching.Match(known, found, [], Spacing, 100_000);
        Assert.Equal(1.2, match.ShiftEastMetres, 0.03);
        Assert.Equal(-0.4, match.ShiftNorthMetres, 0.03);
        int right = 0;
        for (int at = 0; at < found.Count; at++)
        {
            MatchedPlant plant = match.Plants[at];
            Assert.Equal(at, plant.FoundIndex);
            right += truth[at] is { } number
                ? plant.Number == number
                    ? 1
                    : 0
                : plant.Fate == PlantFate.Replanted && plant.Number >= 100_000
                    ? 1
                    : 0;
        }

        Assert.True(right >= 0.999 * found.Count, $"{right} of {found.Count}");
        Assert.Equal(found.Count, match.Plants.Select(plant => plant.Number).Distinct().Count());
        Assert.True(match.Gone.ToHashSet().SetEquals(dead) || match.Gone.Except(dead).Count() <= 1);
    }

    [Theory]
    [InlineData(1, 0, false)]
    [InlineData(2, 1.2, false)]
    [InlineData(3, 0, true)]
    public void Match_TwoSurveysFoundAndMatched_KeepIdentities(ulong seed, double shift, bool stumped)
    {
        IdentityScore score = IdentityScore.Of(
            new ModelledPlanting { SideMetres = 40, MarginMetres = 4 },
            seed,
            shift,
            stumped
        );
        Assert.True(score.ShareRight >= 0.99, $"{score.ShareRight:P2} {string.Join("; ", score.Wrong)}");
        Assert.Equal(1, score.ShareSameAfterRerun);
    }

    [Fact]
    public void Match_OrderOfTheLists_DoesNotMatter()
    {
        (List<KnownPlant> known, SplittableRandom random) = Ledger(6, 8, 12);
        List<PlantRecord> found =
        [
            .. known.Select(plant =>
                See(
                    plant.Row,
                    plant.Place.EastingMetres + (0.04 * random.NextGaussian()),
                    plant.Place.NorthingMetres,
                    plant.HeightMetres
                )
            ),
        ];
        found.Add(See(3, 500_300, 4_600_300, 1.2));
        PlantMatch one = PlantMatching.Match(known, found, [], Spacing, 5000);
        PlantRecord[] turned = [.. found.AsEnumerable().Reverse()];
        PlantMatch two = PlantMatching.Match([.. known.AsEnumerable().Reverse()], turned, [], Spacing, 5000);
        Assert.Equal(
            one.Plants.Select(plant => (plant.Number, plant.Fate)),
            two.Plants.Reverse().Select(plant => (plant.Number, plant.Fate))
        );
    }

    [Fact]
    public void Match_SameSurveyAgain_IsAllTheSame()
    {
        (List<KnownPlant> known, _) = Ledger(7, 10, 10);
        List<PlantRecord> found =
        [
            .. known.Select(plant =>
                See(plant.Row, plant.Place.EastingMetres, plant.Place.NorthingMetres, plant.HeightMetres)
            ),
        ];
        PlantMatch match = PlantMatching.Match(known, found, [], Spacing, 5000);
        Assert.All(match.Plants, plant => Assert.Equal(PlantFate.Same, plant.Fate));
        Assert.Equal(known.Select(plant => plant.Number), match.Plants.Select(plant => plant.Number));
        Assert.Empty(match.Gone);
    }

    [Fact]
    public void Match_BlockCutBack_KeepsNumbersAndSaysStumped()
    {
        (List<KnownPlant> known, SplittableRandom random) = Ledger(8, 10, 10);
        List<PlantRecord> found =
        [
            .. known.Select(plant =>
                See(
                    plant.Row,
                    plant.Place.EastingMetres + (0.05 * random.NextGaussian()),
                    plant.Place.NorthingMetres,
                    0.25 * plant.HeightMetres
                )
            ),
        ];
        PlantMatch match = PlantMatching.Match(known, found, [], Spacing, 5000);
        Assert.True(match.BlockStumped);
        Assert.All(match.Plants, plant => Assert.Equal(PlantFate.Stumped, plant.Fate));
        Assert.Equal(known.Select(plant => plant.Number), match.Plants.Select(plant => plant.Number));
    }

    [Fact]
    public void Match_PlaceHidden_IsUnseenNotGone()
    {
        (List<KnownPlant> known, _) = Ledger(9, 6, 6);
        KnownPlant victim = known[17];
        List<PlantRecord> found =
        [
            .. known
                .Where(plant => plant != victim)
                .Select(plant =>
                    See(plant.Row, plant.Place.EastingMetres, plant.Place.NorthingMetres, plant.HeightMetres)
                ),
        ];
        EmptyPosition hidden = new(victim.Row, 3, victim.Place, 0.2, "under a shade tree");
        PlantMatch match = PlantMatching.Match(known, found, [hidden], Spacing, 5000);
        Assert.Equal([victim.Number], match.Unseen);
        Assert.Empty(match.Gone);
        Assert.Equal([victim.Number], PlantMatching.Match(known, found, [], Spacing, 5000).Gone);
    }

    [Fact]
    public void Match_EmptyLedger_IssuesNumbersInOrderOfPlace()
    {
        PlantRecord[] found = [See(2, 500_001, 4_600_010, 1), See(1, 500_001, 4_600_001, 1)];
        PlantMatch match = PlantMatching.Match([], found, [], Spacing, 1);
        Assert.Equal([2L, 1L], match.Plants.Select(plant => plant.Number));
        Assert.All(match.Plants, plant => Assert.Equal(PlantFate.New, plant.Fate));
    }

    private static (List<KnownPlant> Known, SplittableRandom Random) Ledger(ulong seed, int rows, int perRow)
    {
        SplittableRandom random = new(seed);
        List<KnownPlant> known = [];
        for (int row = 0; row < rows; row++)
        {
            for (int slot = 0; slot < perRow; slot++)
            {
                if (random.NextDouble() < 0.05)
                {
                    continue;
                }

                GridPoint place = new(
                    500_000 + (slot * Spacing) + (0.08 * random.NextGaussian()),
                    4_600_100 - (row * 2.5) + (3 * Math.Sin(slot / 12.0)) + (0.06 * random.NextGaussian())
                );
                known.Add(
                    new KnownPlant(
                        known.Count + 1,
                        row + 1,
                        place,
                        0.05,
                        1.8 * (1 + (0.1 * random.NextGaussian())),
                        1.3
                    )
                );
            }
        }

        return (known, random);
    }

    private static PlantRecord See(int row, double east, double north, double height) =>
        new(0, row, 0, new GridPoint(east, north))
        {
            PlaceSigmaMetres = 0.05,
            TopHeightMetres = new Measured(height, 0.05),
            CrownAreaSquareMetres = new Measured(0.7 * height * height / 2.5, 0.1),
        };
}
