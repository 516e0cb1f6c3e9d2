using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;
using Xunit;

namespace Hillrow.Intake.Tests;

/// <summary>Exchanged bands are told by the ground's own spectra; as called, nothing is.</summary>
public sealed class BandSpectraTests
{
    private const double PanelReflectance = 0.5;

    private static readonly string[] Names = ["blue", "green", "red", "red edge", "near infrared"];
    private static readonly double[] Centres = [465, 550, 660, 720, 835];

    /// <summary>Of a leaf and of a soil, not the stage's own typical ones.</summary>
    private static readonly double[] Leaf = [0.04, 0.095, 0.045, 0.19, 0.43];
    private static readonly double[] Soil = [0.06, 0.10, 0.16, 0.19, 0.24];

    [Theory]
    [InlineData(0.1, 0.9)]
    [InlineData(0.0, 0.3)] // mostly bare
    [InlineData(0.8, 1.0)] // closed canopy, hardly any contrast
    public void SwapTold_AsCalled_Nothing(double least, double most) => Assert.Null(Told(least, most, 0, 0));

    [Theory]
    [InlineData(1, 2, 0.1, 0.9)]
    [InlineData(1, 2, 0.0, 0.3)]
    [InlineData(1, 2, 0.8, 1.0)]
    [InlineData(0, 4, 0.1, 0.9)]
    [InlineData(2, 4, 0.1, 0.9)]
    [InlineData(3, 4, 0.1, 0.9)]
    public void SwapTold_TwoBandsExchanged_BothNamed(int one, int other, double least, double most)
    {
        string? told = Told(least, most, one, other);
        Assert.NotNull(told);
        Assert.Contains(Names[one], told, StringComparison.Ordinal);
        Assert.Contains(Names[other], told, StringComparison.Ordinal);
        Assert.Contains("swapped", told, StringComparison.Ordinal);
    }

    private static string? Told(double least, double most, int one, int other)
    {
        CameraBand sample = IntakeCards.Profile.Bands[0];
        CameraProfile profile = IntakeCards.Profile with
        {
            Bands = [.. Names.Select((name, at) => sample with { Name = name, CentreNanometres = Centres[at] })],
            ReferenceBandName = Names[4],
            Panel = new PanelDescription(
                "",
                0,
                [new PanelLevel("grey", Names.ToDictionary(name => name, _ => PanelReflectance), 0.005, [])]
            ),
        };
        SplittableRandom draw = new(5);
        List<IntakeCapture> captures = [];
        List<FrameLook?[]> looks = [];
        const int Tiles = FrameLook.TileShareEdge * FrameLook.TileShareEdge;
        for (int capture = 0; capture < 6; capture++)
        {
            captures.Add(
                new IntakeCapture(
                    new Capture
                    {
                        Id = $"C{capture}",
                        Frames =
                        [
                            .. Names.Select(name => new BandFrame { Band = name, File = $"{capture}-{name}.tif" }),
                        ],
                    },
                    CaptureRole.Survey,
                    RoleSource.ByMotion,
                    ""
                )
            );
            float[][] shares = [.. Names.Select(_ => new float[Tiles])];
            for (int tile = 0; tile < Tiles; tile++)
            {
                double leaf = draw.NextDouble(least, most);
                double shade = draw.NextDouble(0.6, 1);
                for (int band = 0; band < Names.Length; band++)
                {
                    double reflectance = ((leaf * Leaf[band]) + ((1 - leaf) * Soil[band])) * shade;
                    shares[band][tile] = (float)(reflectance * (1 + (0.03 * draw.NextGaussian())));
                }
            }

            (shares[one], shares[other]) = (shares[other], shares[one]);
            looks.Add([.. shares.Select(of => (FrameLook?)new FrameLook(0, 0.2, 0.2, 0, 0.3) { TileShares = of })]);
        }

        FieldCheckInput input = new(
            new IntakeResult
            {
                Captures = captures,
                Sorties = [],
                Irradiance = [],
                Notes = [],
                Counts = new IntakeCounts(0, 0, 0, 0, 0),
                Outcome = StageOutcome.Done,
            },
            "",
            profile,
            new LocalFrame(GeodeticPosition.FromDegrees(0, 0, 0)),
            new HeightField(0, 0, 1, 2, 2, new float[4]),
            []
        );
        return BandSpectra.SwapTold(input, [.. looks], _ => PanelReflectance);
    }
}
