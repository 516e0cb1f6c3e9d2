using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Plants;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class LedgerNumbersTests
{
    private const double Spacing = 1.1;
    private static readonly string[] Days = ["2026-01-10", "2026-05-20", "2026-09-30"];

    public static TheoryData<int, int, int> Orders =>
        new()
        {
            { 0, 1, 2 },
            { 0, 2, 1 },
            { 1, 0, 2 },
            { 1, 2, 0 },
            { 2, 0, 1 },
            { 2, 1, 0 },
        };

    [Theory]
    [MemberData(nameof(Orders))]
    public void Assign_SurveysArriveInAnyOrder_GroupsAlikeAndNumbersStayWithTheirSightings(int one, int two, int three)
    {
        string plain = Groups(Of([0, 1, 2], []));
        Ledger? ledger = null;
        List<int> there = [];
        foreach (int arrives in new[] { one, two, three })
        {
            there.Add(arrives);
            there.Sort();
            Ledger before = ledger ?? new Ledger([], []);
            ledger = Of(there, MemoryOf(before));
            foreach (LedgerPlant plant in before.Plants)
            {
                LedgerPlant now = ledger[plant.Number];
                long number = now.State == LedgerState.Merged ? now.MergedInto : plant.Number;
                Assert.Equal(number, NumberAt(ledger, plant.Issued));
                Assert.True(number <= plant.Number);
                Assert.Equal(now.State == LedgerState.Merged, number != plant.Number);
            }
        }

        Assert.Equal(plain, Groups(ledger!));
        // In the order of days no two numbers ever turn out to be one plant.
        if (one < two && two < three)
        {
            Assert.DoesNotContain(ledger!.Plants, plant => plant.State == LedgerState.Merged);
        }
    }

    [Fact]
    public void Assign_RunAgain_GivesEverySightingTheSameNumber()
    {
        Ledger first = Of([0, 1, 2], []);
        Ledger again = Of([0, 1, 2], MemoryOf(first));
        Assert.Equal(first.Plants, again.Plants);
        Assert.Equal(
            first.Surveys.SelectMany(survey => survey.Parts[0].Numbers),
            again.Surveys.SelectMany(survey => survey.Parts[0].Numbers)
        );
    }

    [Fact]
    public void Assign_ProgramFindsPlantsALittleBeside_KeepsTheirNumbers()
    {
        Ledger first = Of([0, 1], []);
        Ledger again = Of([0, 1], MemoryOf(first), 0.06);
        Assert.Equal(
            first.Surveys.SelectMany(survey => survey.Parts[0].Numbers),
            again.Surveys.SelectMany(survey => survey.Parts[0].Numbers)
        );
    }

    [Fact]
    public void Assign_FirstSurveyTakenAway_WithdrawsItsNumbersAndReusesNone()
    {
        Ledger all = Of([0, 1, 2], []);
        Ledger rest = Of([1, 2], MemoryOf(all));
        Assert.All(
            all.Plants.Where(plant => plant.Issued.Survey == Days[0]),
            plant => Assert.Equal(LedgerState.Withdrawn, rest[plant.Number].State)
        );
        Assert.All(
            rest.Plants.Where(plant => plant.State == LedgerState.Standing && plant.Issued.Survey == Days[1]),
            plant => Assert.True(plant.Number > all.Plants.Count || all[plant.Number].Issued.Survey == Days[1])
        );
        // Back again, they have their old numbers, and the others are merged into them.
        Ledger back = Of([0, 1, 2], MemoryOf(rest));
        Assert.Equal(
            all.Surveys.SelectMany(survey => survey.Parts[0].Numbers),
            back.Surveys.SelectMany(survey => survey.Parts[0].Numbers)
        );
    }

    [Fact]
    public void Build_PersonSaysTwoNumbersAreOne_TheOlderStaysThroughLaterSurveys()
    {
        // The plant of survey 0 that is gone in survey 1; a plant too far off to be taken for it stands there from 1 on.
        Ledger ledger = Of([0, 1], []);
        LedgerPlant gone = ledger.Plants.First(plant => plant.State == LedgerState.Gone);
        LedgerPlant stray = ledger.Plants.First(plant => plant.FirstSurvey == Days[1]);
        PlantCorrection correction = new(
            CorrectionKind.Same,
            stray.Issued.Survey,
            stray.Number,
            stray.Issued.Place,
            default
        )
        {
            SameAs = (gone.Number, gone.Issued.Survey, gone.Issued.Place),
        };
        Ledger corrected = Of([0, 1, 2], MemoryOf(ledger), 0, [correction]);
        Assert.Equal(gone.Number, NumberAt(corrected, stray.Issued));
        Assert.Equal(LedgerState.Merged, corrected[stray.Number].State);
        Assert.Equal(gone.Number, corrected[stray.Number].MergedInto);
        Assert.Equal(LedgerState.Standing, corrected[gone.Number].State);
        Assert.Equal(Days[2], corrected[gone.Number].LastSurvey);
        Ledger again = Of([0, 1, 2], MemoryOf(corrected), 0, [correction]);
        Assert.Equal(corrected.Plants, again.Plants);
    }

    [Fact]
    public void Mark_NotAPlant_StaysSoWhenItsNumberWasMerged()
    {
        Ledger ledger = Of([0, 1], []);
        PlantCorrection correction = new(CorrectionKind.NotPlant, Days[0], 3, ledger[3].Issued.Place, default);
        Assert.Equal(LedgerState.NotPlant, NotPlants.Mark(ledger, [correction])[3].State);
        Assert.Equal(
            ledger.Plants.Count - 1,
            NotPlants.Mark(ledger, [correction]).Plants.Count(plant => plant.State != LedgerState.NotPlant)
        );
    }

    [Fact]
    public void CorrectedPlants_MovedAndMissing_ChangeThatSurveyAlone()
    {
        StoredPlants survey = Survey(Field(1), 0, [Gap()]);
        GridPoint from = survey.Parts[0].Found.Plants[5].Place;
        GridPoint to = new(from.EastingMetres + 0.4, from.NorthingMetres);
        GridPoint empty = new(Gap().Place.EastingMetres + 0.1, Gap().Place.NorthingMetres);
        PlantCorrection[] corrections =
        [
            new(CorrectionKind.Moved, Days[1], 6, from, default) { MovedTo = to },
            new(CorrectionKind.Missing, Days[1], null, empty, default),
            // A plant stands there: nothing to add.
            new(CorrectionKind.Missing, Days[1], null, survey.Parts[0].Found.Plants[20].Place, default),
        ];
        BlockPlants corrected = CorrectedPlants.Of(survey, corrections, Days[1]).Parts[0].Found;
        Assert.Equal(to, corrected.Plants[5].Place);
        Assert.Equal(survey.Parts[0].Found.Plants.Count + 1, corrected.Plants.Count);
        Assert.Equal(empty, corrected.Plants[^1].Place);
        Assert.Equal(Gap().PositionInRow, corrected.Plants[^1].PositionInRow);
        Assert.Empty(corrected.Gaps);
        Assert.Equal(
            survey.Parts[0].Found.Plants,
            CorrectedPlants.Of(survey, corrections, Days[0]).Parts[0].Found.Plants
        );
    }

    private static EmptyPosition Gap() => new(9, 4, new GridPoint(500_200, 9_200_200), 0.1, "");

    private static Ledger Of(
        IEnumerable<int> surveys,
        IReadOnlyList<IssuedNumber> memory,
        double beside = 0,
        IReadOnlyList<PlantCorrection>? corrections = null
    )
    {
        LedgerBuilder builder = new(CorrectedPlants.Same(corrections ?? []));
        foreach (int survey in surveys)
        {
            builder.Add(Days[survey], Survey(Field(survey), beside, []));
        }

        return builder.Build(memory);
    }

    private static IReadOnlyList<IssuedNumber> MemoryOf(Ledger ledger) =>
        [
            .. ledger.Plants.Select(plant => new IssuedNumber(
                plant.Number,
                plant.BlockId,
                plant.Issued,
                plant.Last.Row,
                plant.PlaceInRow,
                plant.Last.Place,
                plant.LastSurvey
            )),
        ];

    private static long NumberAt(Ledger ledger, IssuedAt sighting)
    {
        int survey = Array.IndexOf(Days, sighting.Survey);
        int at = Field(survey).ToList().IndexOf(sighting.Place);
        return ledger.Of(sighting.Survey)!.Parts[0].Numbers[at];
    }

    /// <summary>Which sightings belong together, whatever their number.</summary>
    private static string Groups(Ledger ledger) =>
        string.Join(
            ' ',
            ledger
                .Surveys.SelectMany(survey =>
                    survey.Parts[0].Numbers.Select((number, at) => (number, Name: $"{survey.Survey}:{at}"))
                )
                .GroupBy(pair => pair.number)
                .Select(group => string.Join('+', group.Select(pair => pair.Name)))
                .Order(StringComparer.Ordinal)
        );

    /// <summary>
    /// Six rows of twelve, the second survey half a metre off. Two plants are gone in the second, one of them is back
    /// in the third; one stands off the pattern from the second on, one only in the third.
    /// </summary>
    private static IReadOnlyList<GridPoint> Field(int survey)
    {
        Random random = new(7);
        GridPoint[] all =
        [
            .. Enumerable
                .Range(0, 72)
                .Select(at => new GridPoint(
                    500_000 + ((at % 12) * Spacing) + ((random.NextDouble() - 0.5) * 0.3),
                    9_200_000 + ((at / 12) * 2.4) + ((random.NextDouble() - 0.5) * 0.3)
                )),
            new(500_030, 9_200_030),
            new(500_040, 9_200_000),
        ];
        double off = survey == 1 ? 0.5 : 0;
        return
        [
            .. all.Where(
                    (_, at) =>
                        survey switch
                        {
                            0 => at < 72,
                            1 => at is not (17 or 30 or 73),
                            _ => at != 30,
                        }
                )
                .Select(place => new GridPoint(place.EastingMetres + off, place.NorthingMetres - off)),
        ];
    }

    private static StoredPlants Survey(
        IReadOnlyList<GridPoint> places,
        double beside,
        IReadOnlyList<EmptyPosition> gaps
    ) =>
        new([
            new StoredBlockPlants(
                1,
                "Ladera",
                new BlockPlants("Ladera", StageOutcome.Done)
                {
                    PlantSpacingMetres = Spacing,
                    RowSpacingMetres = 2.4,
                    Gaps = gaps,
                    Plants =
                    [
                        .. places.Select(
                            (place, at) =>
                                new PlantRecord(
                                    at + 1,
                                    1 + (int)Math.Round((place.NorthingMetres - 9_200_000) / 2.4),
                                    1 + (int)Math.Round((place.EastingMetres - 500_000) / Spacing),
                                    new GridPoint(
                                        place.EastingMetres + (beside * (at % 3)),
                                        place.NorthingMetres - (beside * (at % 2))
                                    )
                                )
                                {
                                    PlaceSigmaMetres = 0.05,
                                    TopHeightMetres = new Measured(1.8, 0.1),
                                    CrownAreaSquareMetres = new Measured(1.2, 0.05),
                                }
                        ),
                    ],
                }
            ),
        ]);
}
