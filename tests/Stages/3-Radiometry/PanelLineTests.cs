using Hillrow.Checks;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Radiometry.Tests;

public sealed class PanelLineTests : IDisposable
{
    /// <summary>Certified, over the middle of three fields in a row, 60 cells apart.</summary>
    private static readonly (string Name, double Certified, int Across)[] Fields =
    [
        ("50 %", 0.5, 0),
        ("30 %", 0.3, -75),
        ("16 %", 0.16, 75),
    ];

    private readonly RadiometryCards cards = new();

    public void Dispose() => cards.Dispose();

    [Fact]
    public void Fit_OneLevel_IsItsRatio()
    {
        PanelLine line = PanelLine.Fit([new GreyLevel(0.5, 0.005, 1, 0)]);
        Assert.Equal(0.5, line.Gain, 1e-12);
        Assert.Equal(0.01, line.GainRelativeSigma, 1e-12);
        Assert.False(line.UsesOffset);
    }

    [Fact]
    public void Fit_TwoLevelsWithStrayLight_IsTheLineThroughBoth()
    {
        // 4 % of the brightest's light lies over both.
        PanelLine line = PanelLine.Fit([
            new GreyLevel(0.5, 0.002, 1, 0),
            new GreyLevel(0.1, 0.002, (0.2 * 0.96) + 0.04, 0.002),
        ]);
        Assert.True(line.UsesOffset);
        Assert.Equal(0.04, line.StrayShare, 1e-9);
        Assert.Equal(0.5 / 0.96, line.Gain, 1e-9);
        Assert.InRange(line.StraySigma, 0.003, 0.01);
    }

    [Fact]
    public void Fit_LevelsThatFitZero_IsLedThroughZeroAndSurer()
    {
        PanelLine line = PanelLine.Fit([
            new GreyLevel(0.5, 0.005, 1, 0),
            new GreyLevel(0.251, 0.003, 0.5, 0.003),
            new GreyLevel(0.1, 0.002, 0.2, 0.003),
        ]);
        Assert.False(line.UsesOffset);
        Assert.Equal(0.5, line.Gain, 0.002);
        Assert.True(line.GainRelativeSigma < 0.01);
        Assert.InRange(line.Residual, 0.0005, 0.01);
    }

    [Fact]
    public void Fit_OneOfFourLevelsIsDirty_IsNotLedAstray()
    {
        PanelLine line = PanelLine.Fit([
            new GreyLevel(0.5, 0.004, 1, 0),
            new GreyLevel(0.3, 0.003, 0.6, 0.002),
            new GreyLevel(0.2, 0.002, 0.31, 0.002),
            new GreyLevel(0.1, 0.002, 0.2, 0.002),
        ]);
        PanelLine clean = PanelLine.Fit([
            new GreyLevel(0.5, 0.004, 1, 0),
            new GreyLevel(0.3, 0.003, 0.6, 0.002),
            new GreyLevel(0.1, 0.002, 0.2, 0.002),
        ]);
        Assert.Equal(clean.Gain, line.Gain, 0.02);
        Assert.True(line.Residual > 0.1, "the dirty level is not told");
    }

    [Fact]
    public void Run_ThreeLevelsUnderStrayLight_TakesItOffTheGround()
    {
        RadiometryResult result = Run(0.05);
        Assert.All(
            result.Calibration.Bands,
            band =>
            {
                Assert.Equal(3, band.PanelLevels);
                Assert.Contains("with an offset", band.Reason, StringComparison.Ordinal);
                Assert.NotNull(band.StrayLightShare);
            }
        );
        double with = Bias(result.Calibration with { TakesStrayLight = true });
        double without = Bias(result.Calibration);
        Assert.True(without > 0.008, $"stray light makes {without} only");
        Assert.True(Math.Abs(with) < 0.004, $"{with} is left");
    }

    [Fact]
    public void Run_ThreeLevelsWithoutStrayLight_LeadsThroughZeroAndSaysWhy()
    {
        RadiometryResult result = Run(0);
        Assert.All(
            result.Calibration.Bands,
            band =>
            {
                Assert.Equal(3, band.PanelLevels);
                Assert.Null(band.StrayLightShare);
                Assert.Contains("levels and 0", band.Reason, StringComparison.Ordinal);
                Assert.InRange(band.PanelResidual!.Value, 0, 0.03);
            }
        );
        Assert.True(Math.Abs(Bias(result.Calibration)) < 0.004);
    }

    /// <summary>Panel before and after; every frame has so much of the panel frame's brightest light spread over it.</summary>
    private RadiometryResult Run(double stray)
    {
        cards.Shoot(0, 1, (_, r, c) => Board(r, c) + (0.5 * stray), 0.00015, panel: true);
        cards.Shoot(60, 1, (b, r, c) => RadiometryCards.Ground(b, r, c) + (StrayOfGround(b) * stray), 0.0002);
        cards.Shoot(300, 1, (_, r, c) => Board(r, c) + (0.5 * stray), 0.00015, panel: true);
        return RadiometryStage.Run(cards.Input() with { Profile = Profile() }, RadiometrySettings.Default);
    }

    /// <summary>The optics spread a share of the frame's mean: of the board's frame that share makes half of <c>stray</c>.</summary>
    private static double StrayOfGround(int band) => 0.5 * MeansOfGround[band] / MeanOfBoard;

    private static double MeanOfBoard { get; } = Mean(Board);

    private static double[] MeansOfGround { get; } =
    [.. Enumerable.Range(0, 3).Select(band => Mean((r, c) => RadiometryCards.Ground(band, r, c)))];

    private static double Mean(Func<int, int, double> scene)
    {
        double sum = 0;
        for (int at = 0; at < RadiometryCards.Rows * RadiometryCards.Columns; at++)
        {
            sum += scene(at / RadiometryCards.Columns, at % RadiometryCards.Columns);
        }

        return sum / (RadiometryCards.Rows * RadiometryCards.Columns);
    }

    private double Bias(Calibration calibration)
    {
        float[] found = new float[RadiometryCards.Rows * RadiometryCards.Columns];
        new ReflectanceFrames(calibration, Profile(), cards.Root, cards.Captures).Load("0002", "red", found, []);
        return found
            .Select(
                (value, at) =>
                    value - RadiometryCards.Ground(1, at / RadiometryCards.Columns, at % RadiometryCards.Columns)
            )
            .Average();
    }

    private static double Board(int row, int column)
    {
        int y = row - 115;
        foreach ((_, double certified, int across) in Fields)
        {
            int x = column - 160 - across;
            if (Math.Abs(y) < 28 && Math.Abs(x) < 28)
            {
                return certified;
            }
        }

        uint hash = unchecked((uint)((row * 7919) + (column * 104_729)) * 2_654_435_761u);
        return 0.05 + (0.15 * (hash >> 16) / 65_536.0);
    }

    private static CameraProfile Profile() =>
        RadiometryCards.Profile with
        {
            Panel = RadiometryCards.Profile.Panel! with
            {
                Levels =
                [
                    .. Fields.Select(field => new PanelLevel(
                        field.Name,
                        RadiometryCards.Bands.ToDictionary(band => band, _ => field.Certified),
                        0.003,
                        [
                            new PanelPoint((field.Across - 28) / 560.0, -0.05),
                            new PanelPoint((field.Across + 28) / 560.0, -0.05),
                            new PanelPoint((field.Across + 28) / 560.0, 0.05),
                            new PanelPoint((field.Across - 28) / 560.0, 0.05),
                        ]
                    )),
                ],
            },
        };
}
