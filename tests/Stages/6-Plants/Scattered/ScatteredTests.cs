using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Plants.Tests;

public sealed class ScatteredTests
{
    private const double Cell = 0.5;
    private const int Side = 160;
    private static readonly ReferenceSystem Zone = ReferenceSystem.Utm(18, north: false);

    [Fact]
    public void BlobTops_DisksOfTwoSizes_GiveTheirMiddlesAndRadii()
    {
        float[] picture = new float[100 * 100];
        (double Row, double Column, double Radius)[] disks = [(30.5, 30.5, 5), (65.5, 70.5, 10)];
        for (int at = 0; at < picture.Length; at++)
        {
            foreach ((double row, double column, double radius) in disks)
            {
                double y = (at / 100) + 0.5 - row;
                double x = (at % 100) + 0.5 - column;
                picture[at] = (x * x) + (y * y) <= radius * radius ? 1 : picture[at];
            }
        }

        double[] sigmas = [.. Enumerable.Range(0, 12).Select(step => 2 * Math.Pow(1.2, step))];
        IReadOnlyList<BlobTop> tops = BlobTops.Find(picture, 100, 100, sigmas, 0.3, 1);
        Assert.Equal(2, tops.Count);
        foreach ((double row, double column, double radius) in disks)
        {
            BlobTop top = tops.MinBy(top => Math.Abs(top.Row - row));
            Assert.Equal(row, top.Row, 1e-9);
            Assert.Equal(column, top.Column, 1e-9);
            // Lindeberg: a disk answers most at its radius over √2; the scales go in steps of 1.2.
            Assert.InRange(top.SigmaPixels, radius / Math.Sqrt(2) / 1.2, radius / Math.Sqrt(2) * 1.2);
        }
    }

    [Fact]
    public void BlobTops_EvenPicture_HasNone() =>
        Assert.Empty(BlobTops.Find([.. Enumerable.Repeat(0.7f, 900)], 30, 30, [1, 2, 3], 0.01, 1));

    [Fact]
    public void BoostedTrees_TwoFeatureRule_IsLearntAndNoiseIsNot()
    {
        SplittableRandom random = new(11);
        float[][] features = [new float[4000], new float[4000], new float[4000]];
        float[] target = new float[4000];
        for (int at = 0; at < target.Length; at++)
        {
            foreach (float[] feature in features)
            {
                feature[at] = (float)random.NextDouble();
            }

            target[at] = features[0][at] > 0.6 && features[2][at] < 0.3 ? 1 : 0;
        }

        BoostedTrees model = BoostedTrees.Train(features, target, new BoostSettings());
        // Feature by feature, three samples each.
        float[] answer = model.Predict([
            [0.9f, 0.2f, 0.9f],
            [0.1f, 0.9f, 0.5f],
            [0.1f, 0.1f, 0.9f],
        ]);
        Assert.True(answer[0] > 0.85, $"{answer[0]}");
        Assert.True(answer[1] < 0.15, $"{answer[1]}");
        Assert.True(answer[2] < 0.15, $"{answer[2]}");
    }

    [Fact]
    public void TopScore_TwoFoundAtOneMark_PairsAsManyAsCanBe()
    {
        GridPoint[] marked = [new(0, 0), new(4, 0)];
        // The middle one is nearest to the first mark, but must go to the second for both to be paired.
        GridPoint[] found = [new(1.9, 0), new(-2.5, 0), new(100, 0)];
        TopScore score = TopScore.Of(found, marked, 3);
        Assert.Equal(new TopScore(2, 3, 2), score);
        Assert.Equal(0.8, score.F1, 12);
    }

    [Fact]
    public void CrownModel_LawnsAsGreenAsTrees_LearnsToTellThemAndSaysTheGain()
    {
        MarkedArea[] areas = [.. Enumerable.Range(1, 7).Select(seed => Park((ulong)seed))];
        CrownModel model = CrownModel.Train(areas, 2, new ScatteredSettings());
        Assert.True(model.Trial.F1 > model.Trial.PlainF1 + 0.1, $"{model.Trial}");
        Assert.True(model.Trial.Kept, $"{model.Trial}");
        MarkedArea fresh = Park(77);
        TopScore score = TopScore.Of(
            [.. model.Find(fresh.Map, fresh.Window).Select(top => top.Place)],
            fresh.Plants,
            2
        );
        Assert.True(score.F1 > 0.8, $"{score}");
    }

    [Fact]
    public void CrownModel_MarksAtRandom_TeachNothing()
    {
        SplittableRandom random = new(5);
        MarkedArea[] areas =
        [
            .. Enumerable
                .Range(1, 6)
                .Select(seed =>
                {
                    MarkedArea park = Park((ulong)seed);
                    return park with
                    {
                        Plants =
                        [
                            .. park.Plants.Select(_ => new GridPoint(
                                500_000 + (random.NextDouble() * Side * Cell),
                                9_200_000 - (random.NextDouble() * Side * Cell)
                            )),
                        ],
                    };
                }),
        ];
        ModelTrial trial = CrownModel.Train(areas, 1, new ScatteredSettings()).Trial;
        Assert.True(trial.F1 < 0.5, $"{trial}");
    }

    [Fact]
    public void CrownModel_OnePlaceAlone_IsRefused() =>
        Assert.Throws<InputProblemException>(() =>
            CrownModel.Train([Park(1), Park(2) with { Group = "1" }], 2, new ScatteredSettings())
        );

    [Theory]
    [InlineData(new[] { 0.1, 0.2, 0.3, 0.4, 0.5 }, 1.0 / 32)]
    [InlineData(new[] { -0.1, 0.2, 0.3, 0.4, 0.5 }, 2.0 / 32)]
    [InlineData(new[] { -0.1, -0.2, -0.3 }, 1.0)]
    [InlineData(new[] { 0.0, 0.0 }, 1.0)]
    // Ranks 1.5, 1.5, 3 of which 1.5 and 3 are gains: sums of 4.5 or more in three of eight ways.
    [InlineData(new[] { 0.1, -0.1, 0.2 }, 3.0 / 8)]
    public void SignedRankTest_KnownCases_GiveTheirChance(double[] gains, double chance) =>
        Assert.Equal(chance, SignedRankTest.ChanceOfGain(gains), 12);

    [Fact]
    public void ModelTrial_Kept_NeedsMoreThanChance()
    {
        Assert.False(new ModelTrial(0.7, 0.6, 3, 0, 0.125).Kept);
        Assert.False(new ModelTrial(0.5, 0.6, 6, 0, 0.016).Kept);
        Assert.True(new ModelTrial(0.7, 0.6, 6, 0, 0.016).Kept);
    }

    /// <summary>Dark round trees and bright round lawns, alike in NDVI.</summary>
    private static MarkedArea Park(ulong seed)
    {
        SplittableRandom random = new SplittableRandom(seed).Split("park");
        Raster<float> map = new(
            new RasterLabel(
                new GridGeometry(Zone, new GridPoint(500_000, 9_200_000), Cell, Side, Side),
                [new BandLabel("red"), new BandLabel("nir")]
            )
        );
        map.Band(0).Fill(0.2f);
        map.Band(1).Fill(0.25f);
        List<GridPoint> trees = [];
        for (int spot = 0; spot < 60; spot++)
        {
            double row = 8 + (random.NextDouble() * (Side - 16));
            double column = 8 + (random.NextDouble() * (Side - 16));
            bool tree = spot % 2 == 0;
            double radius = 4 + (3 * random.NextDouble());
            bool free = true;
            for (int r = (int)(row - radius - 2); r < row + radius + 2 && free; r++)
            {
                for (int c = (int)(column - radius - 2); c < column + radius + 2 && free; c++)
                {
                    free = r >= 0 && c >= 0 && r < Side && c < Side && map[1, r, c] < 0.26f;
                }
            }

            if (!free)
            {
                continue;
            }

            for (int at = 0; at < Side * Side; at++)
            {
                double y = (at / Side) + 0.5 - row;
                double x = (at % Side) + 0.5 - column;
                if ((x * x) + (y * y) <= radius * radius)
                {
                    float light = (tree ? 1f : 2f) * (float)(1 + (0.1 * (random.NextDouble() - 0.5)));
                    map.Band(0)[at] = 0.04f * light;
                    map.Band(1)[at] = 0.28f * light;
                }
            }

            if (tree)
            {
                trees.Add(new GridPoint(500_000 + (column * Cell), 9_200_000 - (row * Cell)));
            }
        }

        return new MarkedArea(
            seed.ToString(System.Globalization.CultureInfo.InvariantCulture),
            MapLayer.Of(map),
            new RasterWindow(0, 0, Side, Side),
            trees
        );
    }
}
