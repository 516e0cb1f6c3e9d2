using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Plants;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class LedgerTests
{
    private const double Spacing = 1.1;

    [Fact]
    public void Add_SameBlockAgainShifted_KeepsEveryNumber()
    {
        LedgerBuilder builder = new();
        builder.Add("2026-04-12", Survey(Field(), 0, 0));
        builder.Add("2026-08-23", Survey(Field(), 1.3, -0.7));
        Ledger ledger = builder.Build();
        Assert.Equal(ledger.Surveys[0].Parts[0].Numbers, ledger.Surveys[1].Parts[0].Numbers);
        Assert.Equal(Field().Count, ledger.Plants.Count);
        Assert.Equal(-1.3, ledger.Surveys[1].Parts[0].ShiftEastMetres, 0.05);
        Assert.Equal(0.7, ledger.Surveys[1].Parts[0].ShiftNorthMetres, 0.05);
        Assert.All(ledger.Plants, plant => Assert.Equal("2026-04-12", plant.FirstSurvey));
        Assert.All(ledger.Plants, plant => Assert.Equal("2026-08-23", plant.LastSurvey));
    }

    [Fact]
    public void Add_PlantGoneAndAnotherNew_GivesTheNextNumberAndNeverReusesOne()
    {
        List<GridPoint> before = Field();
        List<GridPoint> later = [.. before.Where((_, at) => at != 17), new GridPoint(500_030, 9_200_030)];
        LedgerBuilder builder = new();
        builder.Add("2026-04-12", Survey(before, 0, 0));
        builder.Add("2026-08-23", Survey(later, 0, 0));
        Ledger ledger = builder.Build();
        long gone = ledger.Surveys[0].Parts[0].Numbers[17];
        Assert.Equal(LedgerState.Gone, ledger.Plants[(int)gone - 1].State);
        Assert.Equal("2026-04-12", ledger.Plants[(int)gone - 1].LastSurvey);
        Assert.Equal(before.Count + 1, ledger.Surveys[1].Parts[0].Numbers[^1]);
        Assert.DoesNotContain(gone, ledger.Surveys[1].Parts[0].Numbers);
        Assert.Equal(
            Enumerable.Range(1, before.Count + 1).Select(number => (long)number),
            ledger.Plants.Select(plant => plant.Last.Number)
        );
    }

    [Fact]
    public void Add_BlockWithoutPlants_LeavesItsPartEmpty()
    {
        LedgerBuilder builder = new();
        builder.Add("2026-04-12", Survey([], 0, 0));
        Assert.Empty(Assert.Single(builder.Build().Surveys[0].Parts).Numbers);
    }

    [Fact]
    public void StoredPlants_WrittenAndRead_KeepEveryMeasure()
    {
        string folder = Directory.CreateTempSubdirectory("hillrow-plants-").FullName;
        try
        {
            StoredPlants stored = Survey(Field(), 0, 0);
            string file = Path.Combine(folder, "plants.json");
            StageJson.Write(file, stored);
            StoredPlants back = StageJson.Read<StoredPlants>(file);
            PlantRecord was = stored.Parts[0].Found.Plants[5];
            PlantRecord now = back.Parts[0].Found.Plants[5];
            Assert.Equal(was.Place, now.Place);
            Assert.Equal(was.TopHeightMetres, now.TopHeightMetres);
            Assert.True(double.IsNaN(now.VolumeCubicMetres.Value));
            Assert.Equal(was.Quality, now.Quality);
            Assert.Equal(was.Values[0], now.Values[0]);
            Assert.Null(back.Parts[0].Found.Crowns);
            double[] values = PlantColumns.For([now]).ValuesOf(now, 812.5);
            Assert.Equal(PlantColumns.For([was]).ValuesOf(was, 812.5), values);
            Assert.Equal(PlantColumns.For([now]).Columns.Count, values.Length);
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    [Fact]
    public void GridPolygon_WithHole_ComesBackEqual()
    {
        string folder = Directory.CreateTempSubdirectory("hillrow-polygon-").FullName;
        try
        {
            GridPolygon polygon = new(
                [new(0, 0), new(10.000000000000002, 0), new(10, 10), new(0, 10)],
                [
                    [new(1, 1), new(2, 1), new(2, 2)],
                ]
            );
            string file = Path.Combine(folder, "polygon.json");
            StageJson.Write(file, polygon);
            GridPolygon back = StageJson.Read<GridPolygon>(file);
            Assert.Equal(polygon.Outer, back.Outer);
            Assert.Equal(polygon.Holes[0], Assert.Single(back.Holes));
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    /// <summary>Six rows of twelve with the jitter that makes a planting recognisable.</summary>
    private static List<GridPoint> Field()
    {
        Random random = new(7);
        return
        [
            .. Enumerable
                .Range(0, 72)
                .Select(at => new GridPoint(
                    500_000 + ((at % 12) * Spacing) + ((random.NextDouble() - 0.5) * 0.3),
                    9_200_000 + ((at / 12) * 2.4) + ((random.NextDouble() - 0.5) * 0.3)
                )),
        ];
    }

    private static StoredPlants Survey(IReadOnlyList<GridPoint> places, double east, double north) =>
        new([
            new StoredBlockPlants(
                1,
                "Ladera",
                new BlockPlants("Ladera", StageOutcome.Done)
                {
                    PlantSpacingMetres = Spacing,
                    RowSpacingMetres = 2.4,
                    Plants =
                    [
                        .. places.Select(
                            (place, at) =>
                                new PlantRecord(
                                    at + 1,
                                    (at / 12) + 1,
                                    (at % 12) + 1,
                                    new GridPoint(place.EastingMetres + east, place.NorthingMetres + north)
                                )
                                {
                                    PlaceSigmaMetres = 0.05,
                                    TopHeightMetres = new Measured(1.8, 0.1),
                                    CrownAreaSquareMetres = new Measured(1.2, 0.05),
                                    Quality = PlantQuality.Touching | PlantQuality.Shadowed,
                                    Values = [new CrownValue("red edge", new Measured(0.31, 0.002), 0.3, 0.04)],
                                }
                        ),
                    ],
                }
            ),
        ]);
}
