using Hillrow.Checks;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;
using Xunit;

namespace Hillrow.Radiometry.Tests;

/// <summary>Clouds drift over level ground half leaves, half soil; captures see places a little shifted, as after parallax.</summary>
public sealed class ShadeSolvingTests
{
    private const double Height = 60;
    private const double Spacing = 2.6;
    private const double DriftEast = 3.5;
    private const double DriftNorth = -2.2;
    private static readonly double[] Leaf = [0.08, 0.03, 0.45];
    private static readonly double[] Soil = [0.12, 0.18, 0.26];
    private static readonly double[] Skylight = [0.24, 0.17, 0.12];

    [Fact]
    public void Solve_DriftingClouds_AreFound()
    {
        Flight flight = new();
        ShadeField field = flight.Solve()!;
        // Captures' light differs by 0.3 over the same places; a look's leaves and soil scatter by 0.05.
        (double before, double after) = flight.Disagreement(field);
        Assert.InRange(before, 0.15, 0.5);
        Assert.InRange(after, 0, 0.025);
    }

    [Fact]
    public void Of_LeavesAndSoilThatChangePlaces_AreWeighedOut()
    {
        (double[] slopes, double[] weights) = new Flight().Weights();
        double[] mixing = [.. Leaf.Zip(Soil, (leaf, soil) => (leaf - soil) / ((leaf + soil) / 2))];
        // Red dims as near infrared brightens: their mean moves by 0.4 of the near infrared, the weighted sum hardly.
        double moved = weights.Zip(mixing, (weight, change) => weight * change).Sum();
        Assert.InRange(Math.Abs(moved), 0, 0.12);
        Assert.Equal(1, weights.Zip(slopes, (weight, slope) => weight * slope).Sum(), 9);
        Assert.True(slopes[2] > slopes[1] && slopes[1] > slopes[0]);
    }

    [Theory]
    [InlineData(true, 0.06, true)]
    [InlineData(false, 0.06, false)]
    [InlineData(false, 0.35, false)]
    public void OfLooks_SteadySensor_IsContradictedByCloudsOnTheGroundAlone(
        bool clouds,
        double leafScatter,
        bool contradicted
    )
    {
        Calibration found = new Flight(clouds, leafScatter, steadySensor: true).Adjusted();
        Assert.Equal(
            contradicted,
            found.Remarks.Any(remark => remark.Contains("clouds lay", StringComparison.Ordinal))
        );
        string light = contradicted ? "under changing light" : "under steady light";
        Assert.All(
            found.Remarks.Where(remark => remark.StartsWith("Band ", StringComparison.Ordinal)),
            remark => Assert.Contains(light, remark, StringComparison.Ordinal)
        );
    }

    private sealed class Flight
    {
        private readonly OverlapInput input;
        private readonly List<CaptureLooks> captures = [];
        private readonly PlaceGrid grid;
        private readonly float[] canopy;
        private readonly double[][] logLight;

        /// <param name="clouds">Whether clouds' shade lies on the ground.</param>
        /// <param name="leafScatter">By how much a look's share of leaves differs from the place's own.</param>
        /// <param name="steadySensor">A sensor beside the clouds tells one light throughout.</param>
        public Flight(bool clouds = true, double leafScatter = 0.06, bool steadySensor = false)
        {
            SplittableRandom random = new(11);
            SplittableRandom sensor = new(12);
            HeightField surface = new(-200, 200, 10, 41, 41, new float[41 * 41]);
            Matrix3D down = Matrix3D.FromRows(new Vector3D(1, 0, 0), new Vector3D(0, -1, 0), new Vector3D(0, 0, -1));
            BrownConradyLens lens = new(
                RadiometryCards.Rows,
                RadiometryCards.Columns,
                new BrownConradyValues(280, 280, new PixelPoint(160, 120), 0, 0, 0, 0, 0)
            );
            PlacedCapture[] placed =
            [
                .. Enumerable
                    .Range(0, 12)
                    .Select(at => new PlacedCapture(
                        $"{at:00}",
                        new CameraPose(new Vector3D((at % 4 * 15) - 22, (at / 4 * 20) - 20, Height), down),
                        0.1,
                        0.001,
                        true
                    )),
            ];
            CameraProfile profile = RadiometryCards.Profile;
            Calibration calibration = new()
            {
                Bands =
                [
                    .. RadiometryCards.Bands.Select(band => new BandFactor(
                        band,
                        1,
                        0.01,
                        steadySensor ? CalibrationMethod.PanelAndIrradiance : CalibrationMethod.Panel,
                        ""
                    )),
                ],
                Frames =
                [
                    .. placed.SelectMany(at =>
                        RadiometryCards.Bands.Select(band => new FrameFactor(at.CaptureId, band, 1, 0.01))
                    ),
                ],
                PanelReadings = [],
                Remarks = [],
            };
            DateTimeOffset start = new(2026, 4, 12, 15, 0, 0, TimeSpan.Zero);
            Capture[] taken =
            [
                .. placed.Select(
                    (at, index) =>
                        new Capture
                        {
                            Id = at.CaptureId,
                            TimeUtc = start.AddSeconds((2.5 * index) + (8 * (index / 4))),
                            Frames = steadySensor
                                ?
                                [
                                    .. RadiometryCards.Bands.Select(band => new BandFrame
                                    {
                                        Band = band,
                                        File = band,
                                        Irradiance = 1 + (0.001 * sensor.NextGaussian()),
                                    }),
                                ]
                                : [],
                        }
                ),
            ];
            SurveyGeometry geometry = new(
                new LocalFrame(new GeodeticPosition(Angle.FromDegrees(5), Angle.FromDegrees(-75), 1500)),
                [
                    .. RadiometryCards.Bands.Select(band => new BandGeometry(
                        band,
                        lens,
                        new CameraMount(Matrix3D.Identity, Vector3D.Zero)
                    )),
                ],
                placed
            );
            input = new OverlapInput(
                profile,
                taken,
                calibration,
                new ReflectanceFrames(calibration, profile, ".", taken),
                geometry,
                surface
            );
            grid = PlaceGrid.Over(surface, placed, Spacing, Height);
            canopy = new float[grid.Count];
            double[] cover = new double[grid.Count];
            for (int place = 0; place < grid.Count; place++)
            {
                cover[place] = 0.5 + (0.45 * Math.Sin(grid[place].X / 3) * Math.Sin(grid[place].Y / 2));
                canopy[place] = (float)cover[place];
            }

            logLight = new double[placed.Length][];
            for (int capture = 0; capture < placed.Length; capture++)
            {
                double seconds = (taken[capture].TimeUtc - start)!.Value.TotalSeconds;
                List<OverlapLook> looks = [];
                logLight[capture] = new double[grid.Count];
                for (int place = 0; place < grid.Count; place++)
                {
                    Vector3D at = grid[place];
                    if (
                        !lens.TryProject(placed[capture].Pose.ToCamera(at), out PixelPoint pixel)
                        || pixel.Row is < 4 or > 236
                        || pixel.Column is < 4 or > 316
                    )
                    {
                        continue;
                    }

                    double share = !clouds ? 1 : Beam(at.X - (DriftEast * seconds), at.Y - (DriftNorth * seconds));
                    double leaves = Math.Clamp(cover[place] + (leafScatter * random.NextGaussian()), 0, 1);
                    logLight[capture][place] = Math.Log(((1 - Skylight[2]) * share) + Skylight[2]);
                    float[] values =
                    [
                        .. Leaf.Select(
                            (leaf, band) =>
                                (float)(
                                    ((leaves * leaf) + ((1 - leaves) * Soil[band]))
                                    * (((1 - Skylight[band]) * share) + Skylight[band])
                                    * (1 + (0.01 * random.NextGaussian()))
                                )
                        ),
                    ];
                    looks.Add(new OverlapLook(place, default, values, [pixel, pixel, pixel]));
                }

                captures.Add(
                    new CaptureLooks(
                        taken[capture],
                        looks,
                        [0.1, 0.1, 0.3],
                        new Vector3D(0, 0.5, 0.866),
                        Height,
                        new (double, double)?[3]
                    )
                );
            }
        }

        public (double[] Slopes, double[] Weights) Weights() => ShadeWeights.Of(captures, Bands());

        public ShadeField? Solve() =>
            new ShadeSolving(input, OverlapSettings.Default, captures, Bands(), canopy, grid.Count).Solve(
                CancellationToken.None
            );

        public Calibration Adjusted() =>
            LightAdjusting.OfLooks(input, OverlapSettings.Default, captures, grid.Count, null, CancellationToken.None);

        private BandLooks[] Bands() =>
            [.. Enumerable.Range(0, 3).Select(band => BandLooks.Of(input, OverlapSettings.Default, captures, band)!)];

        /// <summary>Scatter of the near infrared's light at places about the captures' mean there, before and after.</summary>
        public (double Before, double After) Disagreement(ShadeField field)
        {
            double before = 0;
            double after = 0;
            int count = 0;
            for (int place = 0; place < grid.Count; place++)
            {
                List<(double Light, double Left)> seen = [];
                for (int capture = 0; capture < captures.Count; capture++)
                {
                    if (captures[capture].Looks.FirstOrDefault(look => look.Place == place) is { } look)
                    {
                        double dark = field.At(capture, look.Pixels[0].Row / 240, look.Pixels[0].Column / 320);
                        double light = logLight[capture][place];
                        seen.Add((light, light + (field.Slopes[2] * dark)));
                    }
                }

                if (seen.Count >= 3)
                {
                    before += seen.Sum(one => Square(one.Light - seen.Average(other => other.Light)));
                    after += seen.Sum(one => Square(one.Left - seen.Average(other => other.Left)));
                    count += seen.Count - 1;
                }
            }

            return (Math.Sqrt(before / count), Math.Sqrt(after / count));
        }

        private static double Square(double value) => value * value;

        /// <summary>Share of the beam that gets through: 0.4 in a cloud's middle, edges some twenty metres wide.</summary>
        private static double Beam(double x, double y)
        {
            double value =
                Math.Sin((x / 19) + (0.7 * Math.Sin(y / 23))) + Math.Sin((y / 16) + (0.8 * Math.Cos(x / 29)));
            double thick = Math.Clamp((value + 0.3) / 0.8, 0, 1);
            return 1 - (0.6 * thick * thick * (3 - (2 * thick)));
        }
    }
}
