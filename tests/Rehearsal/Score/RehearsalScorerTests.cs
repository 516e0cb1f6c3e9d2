using Hillrow.Earth;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed class RehearsalScorerTests
{
    private static readonly SurveyTruth Truth = InventedSurvey.Truth();

    [Fact]
    public void Score_PerfectProducts_IsPerfect()
    {
        ScoreSheet sheet = Score(InventedSurvey.Products(Truth));
        foreach ((string name, double? value) in sheet.Figures)
        {
            Assert.True(value is not null, $"{name}: {sheet.Missing.GetValueOrDefault(name)}");
            double wanted =
                name.StartsWith("coverage", StringComparison.Ordinal)
                || name.Contains("precision", StringComparison.Ordinal)
                || name.Contains("recall", StringComparison.Ordinal)
                || name
                    is "plants.f1"
                        or "plants.foundFromCrownMetres" // Its smallest crowns, 0.94 m, are too few for a class.
                        or "crownArea.r2"
                        or "decline.auc"
                        or "decline.sensitivity"
                        or "decline.specificity"
                    ? 1
                    : 0;
            Assert.True(Math.Abs(wanted - value.Value) < 2e-3, $"{name} is {value}, not {wanted}");
        }
    }

    [Theory]
    [InlineData(0.3, -0.4)]
    [InlineData(-1.7, 0.6)]
    [InlineData(3.25, 4.5)]
    [InlineData(-24, 11.5)]
    public void Score_ShiftedMap_ShiftIsFound(double east, double north)
    {
        ScoreSheet sheet = Score(InventedSurvey.Products(Truth, shiftOfBand: _ => (east, north)));
        Assert.Equal(east, sheet.Figures["mapOffsetMetres.east"]!.Value / InventedSurvey.Cell, 0.03);
        Assert.Equal(north, sheet.Figures["mapOffsetMetres.north"]!.Value / InventedSurvey.Cell, 0.03);
        Assert.True(sheet.Figures["orthoShiftPx.rms"] < 0.03);
        Assert.True(sheet.Figures["bandShiftPx.rms"] < 0.03);
        Assert.True(sheet.Figures["reflectance.red.pixelRmse"] < 0.01);
    }

    [Fact]
    public void Score_StretchedMap_OrthoShiftIsWhatOneShiftLeaves()
    {
        // The western half lies 1 cell too far west, the other half too far east.
        SurveyProducts west = InventedSurvey.Products(Truth, shiftOfBand: _ => (-1, 0));
        SurveyProducts east = InventedSurvey.Products(Truth, shiftOfBand: _ => (1, 0));
        ScoreSheet sheet = Score(west with { Reflectance = Joined(west.Reflectance!, east.Reflectance!) });
        Assert.InRange(sheet.Figures["orthoShiftPx.rms"]!.Value, 0.85, 1.6);
    }

    [Fact]
    public void Score_EverythingShiftedAlike_PlantsAreFoundAndTheShiftIsTold()
    {
        ScoreSheet sheet = Score(
            InventedSurvey.Products(Truth, shiftOfBand: _ => (20, -16), plantsShiftMetres: (1.0, -0.8))
        );
        Assert.Equal(1.0, sheet.Figures["mapOffsetMetres.east"]!.Value, 0.002);
        Assert.Equal(-0.8, sheet.Figures["mapOffsetMetres.north"]!.Value, 0.002);
        Assert.Equal(1, sheet.Figures["plants.f1"]);
    }

    [Fact]
    public void Score_DeadHedgedAndHiddenPlantsLeftOut_NothingIsMissed()
    {
        PlantTruth[] plants = [.. Truth.Plants];
        plants[5] = plants[5] with { IsDead = true };
        plants[9] = plants[9] with { BlockKind = BlockKind.Hedgerow, Block = "Seto" };
        plants[20] = plants[20] with { SeenAreaSquareMetres = 0.05 };
        SurveyProducts whole = InventedSurvey.Products(Truth);
        GridPoint dead = new(plants[5].EastingMetres, plants[5].NorthingMetres);
        SurveyProducts products = whole with
        {
            Plants = [.. whole.Plants!.Where((_, index) => index is not 5 and not 9 and not 20)],
            Gaps = [.. whole.Gaps!, dead],
        };
        ScoreSheet sheet = RehearsalScorer.Score([products], _ => Truth with { Plants = plants }, 2).Surveys[whole.Id];
        Assert.Equal(1, sheet.Figures["plants.recall"]);
        Assert.Equal(1, sheet.Figures["plants.precision"]);
        Assert.Equal(1, sheet.Figures["gaps.precision"]);
    }

    [Fact]
    public void CrownOutline_DiscWithHoles_HasTheDiscsArea()
    {
        const int Side = 120;
        float[] numbers = new float[Side * Side];
        for (int row = 0; row < Side; row++)
        {
            for (int column = 0; column < Side; column++)
            {
                double away = Math.Sqrt(Math.Pow(row - 60, 2) + Math.Pow(column - 60, 2));
                // Every third row and column is see-through; a wide gap cuts off nothing.
                bool hole = row % 3 == 0 || column % 3 == 0;
                numbers[(row * Side) + column] = away <= 30 && !hole ? 7 : 0;
            }
        }

        GridGeometry grid = new(InventedSurvey.Grid.ReferenceSystem, new GridPoint(0, 100), 0.05, Side, Side);
        double area = CrownOutline.Areas(new ScoredMap(grid, ["plant"], [numbers]))[7];
        double disc = Math.PI * Math.Pow(30 * 0.05, 2);
        Assert.InRange(area, 0.94 * disc, 1.02 * disc);
    }

    [Fact]
    public void MapTurn_TurnedField_TellsTurnAndScale()
    {
        double turn = 0.1 * Math.PI / 180;
        List<GridPoint> middles = [];
        List<(double, double)?> shifts = [];
        for (int x = -2; x <= 2; x++)
        {
            for (int y = -2; y <= 2; y++)
            {
                (double east, double north) = (10.0 * x, 10.0 * y);
                middles.Add(new GridPoint(447_000 + east, 8_426_000 + north));
                // Clockwise: north goes east.
                shifts.Add((((turn * north) + (0.001 * east)) / 0.05, ((-turn * east) + (0.001 * north)) / 0.05));
            }
        }

        ScoreSheet sheet = new();
        MapTurn.Add(sheet, new ShiftField(shifts, middles, 0.05));
        Assert.Equal(0.1, sheet.Figures["mapTurnDegrees"]!.Value, 1e-9);
        Assert.Equal(0.001, sheet.Figures["mapScaleShare"]!.Value, 1e-9);
        Assert.Equal(0, sheet.Figures["orthoShiftPx.rmsAfterTurnAndScale"]!.Value, 1e-6);
    }

    [Fact]
    public void Score_RaisedSurface_HeightIsToldAndTakenOff()
    {
        SurveyProducts products = InventedSurvey.Products(Truth);
        ScoreSheet sheet = Score(
            products with
            {
                Surface = products.Surface!.Moved(0, 0, 1.25),
                Ground = products.Ground!.Moved(0, 0, 1.5),
            }
        );
        Assert.Equal(1.25, sheet.Figures["mapOffsetMetres.up"]!.Value, 1e-4);
        Assert.Equal(0, sheet.Figures["surfaceRmseMetres"]!.Value, 1e-4);
        Assert.Equal(0.25, sheet.Figures["groundRmseMetres"]!.Value, 1e-4);
    }

    [Fact]
    public void Score_OneBandShifted_OnlyBandShiftGrows()
    {
        ScoreSheet sheet = Score(InventedSurvey.Products(Truth, shiftOfBand: band => band == 2 ? (0.8, 0) : (0, 0)));
        Assert.True(sheet.Figures["orthoShiftPx.rms"] < 0.01);
        // One of four pairs is off by 0.8: rms 0.4.
        Assert.Equal(0.4, sheet.Figures["bandShiftPx.rms"]!.Value, 0.02);
        Assert.Equal(0.8, sheet.Figures["bandShiftPx.p95"]!.Value, 0.04);
    }

    [Fact]
    public void Score_PlantsShifted_FoundUntilHalfAPlantingDistance()
    {
        Assert.Equal(1, Score(InventedSurvey.Products(Truth, plantsShiftMetres: (0.5, 0.5))).Figures["plants.f1"]);
        ScoreSheet far = Score(InventedSurvey.Products(Truth, plantsShiftMetres: (0, 1.0)));
        Assert.Equal(0, far.Figures["plants.f1"]);
        Assert.Null(far.Figures["heightMetres.bias"]);
    }

    [Fact]
    public void Score_HalfThePlantsAndTwiceInvented_PrecisionAndRecallSaySo()
    {
        SurveyProducts whole = InventedSurvey.Products(Truth);
        FoundPlant[] half = [.. whole.Plants!.Where((_, index) => index % 2 == 0)];
        FoundPlant[] invented =
        [
            .. half.Select(plant => new FoundPlant(
                plant.Number + 5000,
                new GridPoint(plant.Place.EastingMetres, plant.Place.NorthingMetres - 1.25)
            )),
        ];
        ScoreSheet sheet = Score(whole with { Plants = [.. half, .. invented] });
        Assert.Equal(0.5, sheet.Figures["plants.precision"]!.Value, 0.03);
        Assert.Equal(0.5, sheet.Figures["plants.recall"]!.Value, 0.01);
    }

    [Fact]
    public void Score_BrighterMap_BiasIsTheFactor()
    {
        SurveyProducts products = InventedSurvey.Products(Truth);
        ScoredMap map = products.Reflectance!;
        ScoreSheet sheet = Score(
            products with
            {
                Reflectance = new ScoredMap(
                    map.Grid,
                    map.Bands,
                    [
                        .. map.Bands.Select(
                            (_, band) => Array.ConvertAll(map.Band(band).ToArray(), value => 1.04f * value)
                        ),
                    ]
                ),
            }
        );
        Assert.Equal(0.04, sheet.Figures["reflectance.green.crownBias"]!.Value, 1e-4);
        Assert.Equal(0, sheet.Figures["ndvi.bias"]!.Value, 1e-5);
        // 0.3 × 4 % = 0.012 against an interval of 0.016: most but not all inside.
        Assert.InRange(sheet.Figures["coverage.reflectance.green"]!.Value, 0.5, 0.999);
    }

    [Fact]
    public void Score_KnownPlantErrors_EveryMeasureIsByHand()
    {
        SurveyProducts whole = InventedSurvey.Products(Truth);
        IReadOnlyDictionary<int, double> outline = CrownOutline.Areas(Truth.PlantNumbers);
        // Plants in turn: heights +0.3, −0.1, +0.3, −0.1 …, sigma 0.1: +0.3 lies outside 1.645 sigma, −0.1 inside.
        FoundPlant[] found =
        [
            .. whole.Plants!.Select(
                (plant, index) =>
                    plant with
                    {
                        HeightMetres = Truth.Plants[index].HeightMetres + (index % 2 == 0 ? 0.3 : -0.1),
                        HeightSigmaMetres = 0.1,
                        CrownAreaSquareMetres = 1.25 * outline[Truth.Plants[index].Number],
                        CrownAreaSigmaSquareMetres = index % 4 == 0 ? 10 : 1e-6,
                        Place = new GridPoint(
                            plant.Place.EastingMetres + (index % 2 == 0 ? 0.2 : -0.2),
                            plant.Place.NorthingMetres
                        ),
                        PlaceSigmaMetres = 0.1,
                        FoliageDensity = plant.FoliageDensity + (index % 4 == 0 ? 0.2 : 0.01),
                    }
            ),
        ];
        ScoreSheet sheet = Score(whole with { Plants = found });
        double even = found.Where((_, index) => index % 2 == 0).Count() / (double)found.Length;
        double fourth = found.Where((_, index) => index % 4 == 0).Count() / (double)found.Length;
        Assert.Equal((0.3 * even) - (0.1 * (1 - even)), sheet.Figures["heightMetres.bias"]!.Value, 1e-6);
        Assert.Equal(Math.Sqrt((0.09 * even) + (0.01 * (1 - even))), sheet.Figures["heightMetres.rmse"]!.Value, 1e-6);
        Assert.Equal(1 - even, sheet.Figures["coverage.heightMetres"]!.Value, 1e-9);
        Assert.Equal(0.25, sheet.Figures["crownArea.bias"]!.Value, 1e-9);
        Assert.Equal(1, sheet.Figures["crownArea.r2"]!.Value, 1e-9);
        Assert.Equal(fourth, sheet.Figures["coverage.crownArea"]!.Value, 1e-9);
        Assert.Equal(1 - fourth, sheet.Figures["coverage.foliageDensity"]!.Value, 1e-9);
        // Eastings are all off by two sigma, northings not at all.
        Assert.Equal(0.5, sheet.Figures["coverage.place"]!.Value, 1e-9);
    }

    [Fact]
    public void Score_KnownVerdicts_SensitivityAndSpecificityAreByHand()
    {
        SurveyProducts whole = InventedSurvey.Products(Truth);
        int sick = Truth.Plants.Count(plant => plant.IsDeclining);
        int well = Truth.Plants.Count - sick;
        int missed = 0;
        int alarmed = 0;
        FoundPlant[] told = new FoundPlant[whole.Plants!.Count];
        for (int index = 0; index < told.Length; index++)
        {
            // The first three sick ones are missed, the first ten sound ones are false alarms, one of each is not judged.
            bool real = Truth.Plants[index].IsDeclining;
            bool? said = real ? missed++ >= 3 : alarmed++ < 10;
            said = (real && missed == sick) || (!real && alarmed == well) ? null : said;
            told[index] = whole.Plants[index] with { IsDeclining = said };
        }

        ScoreSheet sheet = Score(whole with { Plants = told });
        Assert.Equal((sick - 4.0) / (sick - 1), sheet.Figures["decline.sensitivity"]!.Value, 1e-9);
        Assert.Equal((well - 11.0) / (well - 1), sheet.Figures["decline.specificity"]!.Value, 1e-9);
    }

    [Fact]
    public void Score_KnownGapErrors_PrecisionAndRecallAreByHand()
    {
        SurveyProducts whole = InventedSurvey.Products(Truth);
        GridPoint[] right = [.. whole.Gaps!.Skip(3)];
        // Four told where sound plants stand.
        GridPoint[] wrong =
        [
            .. Truth.Plants.Take(4).Select(plant => new GridPoint(plant.EastingMetres, plant.NorthingMetres)),
        ];
        ScoreSheet sheet = Score(whole with { Gaps = [.. right, .. wrong] });
        Assert.Equal(right.Length / (right.Length + 4.0), sheet.Figures["gaps.precision"]!.Value, 1e-9);
        Assert.Equal(right.Length / (right.Length + 3.0), sheet.Figures["gaps.recall"]!.Value, 1e-9);
    }

    [Fact]
    public void Score_InventedPlants_CountErrorIsTheirShare()
    {
        SurveyProducts whole = InventedSurvey.Products(Truth);
        FoundPlant[] more =
        [
            .. whole
                .Plants!.Take(5)
                .Select(plant => new FoundPlant(
                    plant.Number + 7000,
                    new GridPoint(plant.Place.EastingMetres, plant.Place.NorthingMetres - 1.25)
                )),
        ];
        ScoreSheet sheet = Score(whole with { Plants = [.. whole.Plants!, .. more] });
        Assert.Equal(5.0 / Truth.Plants.Count, sheet.Figures["plants.countError"]!.Value, 1e-9);
        Assert.Equal(1, sheet.Figures["plants.recall"]);
    }

    [Fact]
    public void Score_RedTooBright_NdviIsTooLowByHand()
    {
        SurveyProducts products = InventedSurvey.Products(Truth);
        ScoredMap map = products.Reflectance!;
        int red = map.IndexOf("red");
        int infrared = map.IndexOf("near infrared");
        float[][] planes = [.. map.Bands.Select((_, band) => map.Band(band).ToArray())];
        planes[red] = Array.ConvertAll(planes[red], value => 1.1f * value);
        ScoreSheet sheet = Score(products with { Reflectance = new ScoredMap(map.Grid, map.Bands, planes) });
        double sum = 0;
        double squares = 0;
        int count = 0;
        for (int at = 0; at < planes[red].Length; at++)
        {
            GridPoint middle = map.Grid.CentreOf(at / map.Grid.Columns, at % map.Grid.Columns);
            if (Truth.PlantNumbers.Band(0)[at] > 0 && Truth.IsJudged(middle.EastingMetres, middle.NorthingMetres))
            {
                double n = Truth.Reflectance.Band(infrared)[at];
                double r = Truth.Reflectance.Band(red)[at];
                double miss = ((n - (1.1 * r)) / (n + (1.1 * r))) - ((n - r) / (n + r));
                sum += miss;
                squares += miss * miss;
                count++;
            }
        }

        Assert.True(sum / count < -0.03);
        Assert.Equal(sum / count, sheet.Figures["ndvi.bias"]!.Value, 5e-4);
        Assert.Equal(Math.Sqrt(squares / count), sheet.Figures["ndvi.rmse"]!.Value, 1e-3);
        Assert.Equal(0.1, sheet.Figures["reflectance.red.crownBias"]!.Value, 1e-3);
        Assert.Equal(0, sheet.Figures["reflectance.green.crownBias"]!.Value, 1e-4);
    }

    [Fact]
    public void Score_NothingMade_EveryFigureIsNullWithItsReason()
    {
        ScoreSheet sheet = Score(new SurveyProducts("2026-04-12"));
        ScoreSheet perfect = Score(InventedSurvey.Products(Truth));
        Assert.Equal(perfect.Figures.Keys, sheet.Figures.Keys);
        Assert.All(sheet.Figures, figure => Assert.Null(figure.Value));
        Assert.All(sheet.Figures, figure => Assert.NotEmpty(sheet.Missing[figure.Key]));
    }

    [Fact]
    public void Score_TwoSurveys_IdentitiesAndRegistration()
    {
        SurveyProducts first = InventedSurvey.Products(Truth);
        SurveyProducts second = InventedSurvey.Products(Truth, shiftOfBand: _ => (0.5, 0)) with { Id = "2026-08-23" };
        FoundPlant[] swapped = [.. second.Plants!];
        swapped[0] = swapped[0] with { Number = swapped[1].Number };
        swapped[1] = swapped[1] with { Number = swapped[0].Number + 1000 };
        RehearsalScore score = RehearsalScorer.Score([first, second with { Plants = swapped }], _ => Truth, 2);
        Assert.Equal(0.5, score.Estate.Figures["registrationPx"]!.Value, 0.02);
        Assert.Equal(1 - (2.0 / Truth.Plants.Count), score.Estate.Figures["identityAccuracy"]!.Value, 1e-9);
    }

    [Fact]
    public void Score_ReplantedWithTheOldNumber_CountsAsWrong()
    {
        SurveyProducts first = InventedSurvey.Products(Truth);
        SurveyProducts second = first with { Id = "2026-08-23" };
        SurveyTruth later = Truth with
        {
            Plants = [.. Truth.Plants.Select((plant, index) => index == 3 ? plant with { Number = 9000 } : plant)],
        };
        RehearsalScore score = RehearsalScorer.Score([first, second], id => id == first.Id ? Truth : later, 2);
        Assert.Equal(1 - (1.0 / Truth.Plants.Count), score.Estate.Figures["identityAccuracy"]!.Value, 1e-9);
    }

    [Theory]
    [InlineData(0, 0)]
    [InlineData(3, -5)]
    [InlineData(-20, 9)]
    public void CorrelationPeak_WholeShift_IsExact(int down, int right)
    {
        const int Rows = 64;
        const int Columns = 48;
        Hillrow.Numerics.SplittableRandom draw = new(3);
        float[] first = [.. Enumerable.Range(0, Rows * Columns).Select(_ => (float)draw.NextGaussian())];
        float[] second = new float[first.Length];
        for (int row = 0; row < Rows; row++)
        {
            for (int column = 0; column < Columns; column++)
            {
                int at = ((row + down + Rows) % Rows * Columns) + ((column + right + Columns) % Columns);
                second[at] = first[(row * Columns) + column];
            }
        }

        (double rows, double columns) = CorrelationPeak.Of(first, second, Rows, Columns, out double share);
        Assert.Equal(down, rows, 0.05);
        Assert.Equal(right, columns, 0.05);
        Assert.Equal(1, share, 1e-6);
    }

    [Theory]
    [InlineData(new[] { -3.0, -2 }, new[] { 0.0, 1 }, 1)]
    [InlineData(new[] { 0.0 }, new[] { 0.0 }, 0.5)]
    [InlineData(new[] { -1.0, 2 }, new[] { 0.0, 1 }, 0.5)]
    public void AreaUnderCurve_SmallCases_ByHand(double[] sick, double[] well, double wanted) =>
        Assert.Equal(wanted, PlantScore.AreaUnderCurve(sick, well), 1e-12);

    private static ScoredMap Joined(ScoredMap west, ScoredMap east)
    {
        float[][] planes = [.. west.Bands.Select((_, band) => west.Band(band).ToArray())];
        int columns = west.Grid.Columns;
        for (int band = 0; band < planes.Length; band++)
        {
            for (int row = 0; row < west.Grid.Rows; row++)
            {
                east.Band(band)
                    .Slice((row * columns) + (columns / 2), columns / 2)
                    .CopyTo(planes[band].AsSpan((row * columns) + (columns / 2)));
            }
        }

        return new ScoredMap(west.Grid, west.Bands, planes);
    }

    private static ScoreSheet Score(SurveyProducts products) =>
        RehearsalScorer.Score([products], _ => Truth, 2).Surveys[products.Id];
}
