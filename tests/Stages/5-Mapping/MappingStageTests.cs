using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping.Checks;
using Hillrow.Numerics;
using Hillrow.Sight;
using Xunit;

namespace Hillrow.Mapping.Tests;

public sealed class MappingStageTests : IDisposable
{
    // Rendering is the dear part: these two scenes serve most tests. Tests of one class run one after the other.
    private static readonly Lazy<SyntheticSurvey> HillyScene = new(() => new SyntheticSurvey(Hills));
    private static readonly Lazy<SyntheticSurvey> SmallScene = new(() =>
        new SyntheticSurvey(Hills, side: 140, lines: 2)
    );

    private readonly string folder = Directory.CreateTempSubdirectory("mapping-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    private static double Hills(double east, double north) =>
        (0.3 * east) + (0.8 * Math.Sin(east / 2.5) * Math.Cos(north / 3.1));

    /// <summary>Flat ground with a wall 5 m high and 1 m thick along the middle meridian.</summary>
    private static double Wall(double east, double north) => Math.Abs(east) < 0.5 && Math.Abs(north) < 15 ? 5 : 0;

    [Fact]
    public void Run_WithNormalisation_WritesTheFactorOfEachPlaceInItsCapture()
    {
        SyntheticSurvey survey = SmallScene.Value;
        MappingStage.Run(survey.InputTo(folder) with { Normalisation = new ByNumber(survey) });
        MapReading map = new(MapFiles.In(folder));
        Raster<ushort> factor = RasterFile.ReadWhole<ushort>(MapFiles.In(folder).NadirFactor);
        int judged = 0;
        for (int row = 0; row < survey.Grid.Rows; row++)
        {
            for (int column = 0; column < survey.Grid.Columns; column++)
            {
                ushort capture = map.Capture[0, row, column];
                for (int band = 0; band < 2; band++)
                {
                    if (capture == MapReading.NoCapture || capture == ByNumber.Unknown)
                    {
                        Assert.Equal(NadirFactorCode.Missing, factor[band, row, column]);
                        continue;
                    }

                    BandGeometry of = survey.Geometry.BandOf(survey.Bands[band]);
                    SightedFrame frame = survey.Geometry.FrameOf(survey.Geometry.Captures[capture], of);
                    Assert.True(
                        frame.Lens.TryProject(frame.Pose.ToCamera(survey.LocalOf(row, column)), out PixelPoint pixel)
                    );
                    int cell = (row * survey.Grid.Columns) + column;
                    (double red, double infrared) = (map.Reflectance[0][cell], map.Reflectance[1][cell]);
                    double greenness = (((infrared - red) / (infrared + red)) - 0.5) / 0.2;
                    double open = ByNumber.OpenMore * (1 - Math.Clamp(greenness, 0, 1));
                    Assert.Equal(
                        (ByNumber.FactorOf(capture, band, pixel) + open) / NadirFactorCode.Scale,
                        factor[band, row, column],
                        ByNumber.WithinAPatch / NadirFactorCode.Scale
                    );
                }

                judged += capture == MapReading.NoCapture ? 0 : 1;
            }
        }

        Assert.True(judged > 10000, $"{judged} cells");
    }

    [Fact]
    public void Run_HillsWithKnownTexture_PutsEveryBandInItsPlace()
    {
        SyntheticSurvey survey = HillyScene.Value;
        MappingResult result = MappingStage.Run(survey.InputTo(folder));
        Assert.Equal(StageVerdict.Done, result.Outcome.Verdict);
        Assert.True(result.LensLatticeErrorPixels < 0.01);
        MapReading map = new(MapFiles.In(folder));
        for (int band = 0; band < 2; band++)
        {
            double sum = 0;
            long count = 0;
            double worst = 0;
            for (int row = 0; row < survey.Grid.Rows; row++)
            {
                for (int column = 0; column < survey.Grid.Columns; column++)
                {
                    float found = map.Reflectance[band][(row * survey.Grid.Columns) + column];
                    if (float.IsNaN(found))
                    {
                        continue;
                    }

                    (double east, double north) = Away(survey, row, column);
                    double error = found - SyntheticSurvey.Texture(band, east, north);
                    sum += error * error;
                    worst = Math.Max(worst, Math.Abs(error));
                    count++;
                }
            }

            // A shift of a tenth of a cell (2 cm) would make 0.0018 rms on this texture; bilinear alone makes 0.0006.
            Assert.True(count > 40000, $"{count} cells");
            Assert.True(Math.Sqrt(sum / count) < 0.0015, $"band {band}: rms {Math.Sqrt(sum / count):G4}");
            Assert.True(worst < 0.02, $"band {band}: worst {worst:G4}");
        }
    }

    [Fact]
    public void Run_Always_TakesAllBandsOfACellFromOneCapture()
    {
        SyntheticSurvey survey = HillyScene.Value;
        MappingStage.Run(survey.InputTo(folder));
        MapReading map = new(MapFiles.In(folder));
        BandGeometryTwin twin = new(survey);
        int seams = 0;
        for (int row = 0; row < survey.Grid.Rows; row += 3)
        {
            for (int column = 0; column < survey.Grid.Columns; column += 3)
            {
                ushort capture = map.Capture[0, row, column];
                int at = (row * survey.Grid.Columns) + column;
                Assert.Equal(capture == ushort.MaxValue, float.IsNaN(map.Reflectance[0][at]));
                if (capture == ushort.MaxValue)
                {
                    continue;
                }

                seams += column > 3 && map.Capture[0, row, column - 3] != capture ? 1 : 0;
                for (int band = 0; band < 2; band++)
                {
                    double expected = twin.Sample(capture, band, row, column);
                    Assert.True(
                        Math.Abs(expected - map.Reflectance[band][at]) < 5e-4,
                        $"row {row}, column {column}, band {band}: {map.Reflectance[band][at]} for {expected}"
                    );
                }
            }
        }

        Assert.True(seams > 20);
    }

    [Fact]
    public void Run_Wall_NeverMapsWhatACaptureCannotSee()
    {
        SyntheticSurvey survey = new(Wall, lines: 2, spacingMetres: 22);

        // Captures east of the wall are dear: only what those in the west cannot see may be taken from them.
        MappingInput input = survey.InputTo(folder) with
        {
            CapturePenalties =
            [
                .. survey.Geometry.Captures.Select(capture => capture.Pose.CentreLocalMetres.X > 0 ? 0.3 : 0),
            ],
        };
        MappingSettings settings = new() { SightToleranceMetres = 0.05 };
        MappingResult result = MappingStage.Run(input, settings);
        MapReading map = new(MapFiles.In(folder));
        int wrong = 0;
        int beside = 0;
        int behind = 0;
        for (int row = 0; row < survey.Grid.Rows; row++)
        {
            for (int column = 0; column < survey.Grid.Columns; column++)
            {
                ushort capture = map.Capture[0, row, column];
                (double east, _) = Away(survey, row, column);
                if (capture == ushort.MaxValue || Math.Abs(east) < 0.65 || Math.Abs(east) > 4)
                {
                    continue;
                }

                beside++;
                Vector3D place = survey.LocalOf(row, column);
                Vector3D camera = survey.Geometry.Captures[capture].Pose.CentreLocalMetres;

                // Lifted twice as much as the stage lifts: steps of a cell may graze the wall's foot.
                wrong += survey.IsFree(place, camera - place, 0.2) ? 0 : 1;
                behind += east > 0 && camera.X > 0 ? 1 : 0;
            }
        }

        Assert.True(beside > 3000, $"{beside} cells beside the wall");
        Assert.Equal(0, wrong);
        Assert.True(behind > 300, $"{behind} cells behind the wall taken from the other side");
        Assert.True(result.CellsHidden < 400, $"{result.CellsHidden} hidden");
    }

    [Fact]
    public void Run_Wall_CastsItsShadowAwayFromTheSun()
    {
        SyntheticSurvey survey = new(Wall);
        MappingStage.Run(survey.InputTo(folder));
        MapReading map = new(MapFiles.In(folder));
        int agree = 0;
        int asked = 0;
        int shaded = 0;
        for (int row = 0; row < survey.Grid.Rows; row++)
        {
            for (int column = 0; column < survey.Grid.Columns; column++)
            {
                if (map.Shadow[0, row, column] == 255)
                {
                    continue;
                }

                asked++;
                shaded += map.Shadow[0, row, column];
                bool free = survey.IsFree(survey.LocalOf(row, column), survey.TowardsSunLocal * 100, 0.05);
                agree += free == (map.Shadow[0, row, column] == 0) ? 1 : 0;
            }
        }

        // 5 m of wall with the sun 40° from the vertical in the east: 4.2 m of shade, 30 m long.
        Assert.InRange(shaded * 0.04, 100, 150);
        Assert.True(agree > 0.995 * asked, $"{agree} of {asked}");
    }

    [Fact]
    public void Run_OneOrTwoThreads_SameBytes()
    {
        SyntheticSurvey survey = HillyScene.Value;
        MappingSettings settings = new() { TileSize = 64 };
        string one = Directory.CreateDirectory(Path.Combine(folder, "one")).FullName;
        string two = Directory.CreateDirectory(Path.Combine(folder, "two")).FullName;
        MappingStage.Run(survey.InputTo(one), settings with { Threads = 1 });
        MappingStage.Run(survey.InputTo(two), settings with { Threads = 2 });
        foreach (string name in Directory.EnumerateFiles(one).Select(path => Path.GetFileName(path)!))
        {
            Assert.Equal(File.ReadAllBytes(Path.Combine(one, name)), File.ReadAllBytes(Path.Combine(two, name)));
        }
    }

    [Fact]
    public void Run_Always_ReadsEachFrameOnceAndOneBandOnceMoreForSeams()
    {
        SyntheticSurvey survey = HillyScene.Value;
        survey.Loads.Clear();
        MappingResult result = MappingStage.Run(survey.InputTo(folder));
        Assert.Equal(2 * result.CapturesUsed, survey.Loads.Distinct().Count());
        Assert.Equal(2 * result.CapturesUsed, survey.Loads.Count - survey.Geometry.Captures.Count);
        Assert.All(
            survey.Loads.GroupBy(load => load),
            loads => Assert.Equal(loads.Key.EndsWith("nir", StringComparison.Ordinal) ? 2 : 1, loads.Count())
        );
    }

    [Fact]
    public void Run_SeamsByDifference_AreLedWhereCapturesAgree()
    {
        // One capture in two shows stripes of ground too bright by a fifth: seams are not to lie there.
        SyntheticSurvey survey = new(Hills, side: 150, lines: 3);
        survey.Brighten(at => at.X - (6 * Math.Floor(at.X / 6)) >= 3 ? 1.2f : 1f);
        double Share(double weight)
        {
            MappingStage.Run(survey.InputTo(folder), new MappingSettings { SeamDifferenceWeight = weight });
            MapReading map = new(MapFiles.In(folder));
            (int seams, int bright) = (0, 0);
            for (int row = 0; row < survey.Grid.Rows; row++)
            {
                for (int column = 1; column < survey.Grid.Columns; column++)
                {
                    if (map.Capture[0, row, column] != map.Capture[0, row, column - 1])
                    {
                        double east = survey.LocalOf(row, column).X;
                        seams++;
                        bright += east - (6 * Math.Floor(east / 6)) >= 3 ? 1 : 0;
                    }
                }
            }

            return (double)bright / seams;
        }

        double before = Share(0);
        Assert.InRange(before, 0.3, 0.8);
        Assert.InRange(Share(new MappingSettings().SeamDifferenceWeight), 0, 0.6 * before);
    }

    [Fact]
    public void Run_CaptureWithoutABand_IsLeftOutAndTold()
    {
        SyntheticSurvey survey = new(Hills, side: 100, lines: 2);
        survey.Remove("c002", "nir");
        MappingResult result = MappingStage.Run(survey.InputTo(folder));
        Assert.Equal(StageVerdict.Degraded, result.Outcome.Verdict);
        Assert.Contains("c002", result.Outcome.Reasons[0], StringComparison.Ordinal);
        MapReading map = new(MapFiles.In(folder));
        Assert.DoesNotContain((ushort)2, map.Capture.Band(0).ToArray());
    }

    [Fact]
    public void Run_NothingPlaced_IsRefusedAndWritesNothing()
    {
        SyntheticSurvey survey = SmallScene.Value;
        MappingInput input = survey.InputTo(folder) with
        {
            Geometry = survey.Geometry with
            {
                Captures = [.. survey.Geometry.Captures.Select(capture => capture with { Placed = false })],
            },
        };
        Assert.Equal(StageVerdict.Refused, MappingStage.Run(input).Outcome.Verdict);
        Assert.Empty(Directory.EnumerateFiles(folder));
    }

    [Fact]
    public void Run_Cancelled_LeavesNoFile()
    {
        SyntheticSurvey survey = SmallScene.Value;
        using CancellationTokenSource source = new();
        Assert.ThrowsAny<OperationCanceledException>(() =>
            MappingStage.Run(survey.InputTo(folder), progress: new CancelAt(source), cancel: source.Token)
        );
        Assert.Empty(Directory.EnumerateFiles(folder));
    }

    [Fact]
    public void Run_SurfaceAboveTheGeoid_SaysHowToMend()
    {
        SyntheticSurvey survey = SmallScene.Value;
        MappingInput input = survey.InputTo(folder);
        Raster<float> other = new(
            input.Surface.Label with
            {
                Heights = VerticalReference.Egm96Geoid,
            },
            [input.Surface.Band(0).ToArray()]
        );
        InputProblemException fault = Assert.Throws<InputProblemException>(() =>
            MappingStage.Run(input with { Surface = other })
        );
        Assert.Contains("ellipsoid", fault.Message, StringComparison.Ordinal);
    }

    private static (double East, double North) Away(SyntheticSurvey survey, int row, int column)
    {
        GridPoint point = survey.Grid.CentreOf(row, column);
        return (point.EastingMetres - survey.Middle.EastingMetres, point.NorthingMetres - survey.Middle.NorthingMetres);
    }

    private sealed class CancelAt(CancellationTokenSource source) : IProgress<WorkProgress>
    {
        public void Report(WorkProgress value)
        {
            if (value.ShareDone > 0.3)
            {
                source.Cancel();
            }
        }
    }

    /// <summary>A factor that tells its capture, band and place in the frame; one capture's angles are not known.</summary>
    private sealed class ByNumber(SyntheticSurvey survey) : IFrameNormalisation
    {
        public const ushort Unknown = 1;

        /// <summary>A patch is some four pixels wide: its factor is off by so much at its corners.</summary>
        public const double WithinAPatch = 5 * PerPixel;
        private const double PerPixel = 0.0005;

        /// <summary>Open ground's factor over canopy's.</summary>
        public const double OpenMore = 0.5;

        public double SunZenithDegrees => 35;

        public static double FactorOf(int capture, int band, PixelPoint pixel) =>
            1.1 + (0.05 * capture) + (0.02 * band) + (PerPixel * (pixel.Column + pixel.Row));

        public bool IsNormalised(string captureId, string band) => NumberOf(captureId) != Unknown;

        public (int Red, int Infrared)? CoverBands => (0, 1);

        public CoverFactors FactorsAt(string captureId, string band, PixelPoint pixel) =>
            pixel.Column > 0 && pixel.Row > 0
                ? new CoverFactors(
                    FactorOf(NumberOf(captureId), band == survey.Bands[0] ? 0 : 1, pixel),
                    FactorOf(NumberOf(captureId), band == survey.Bands[0] ? 0 : 1, pixel) + OpenMore
                )
                : throw new ArgumentException("The pixel lies outside the frame.", nameof(pixel));

        public void Normalise(string captureId, string band, Span<float> reflectance, Span<float> sigma) =>
            throw new NotSupportedException("Mapping asks for factors alone.");

        private int NumberOf(string captureId) =>
            Enumerable
                .Range(0, survey.Geometry.Captures.Count)
                .First(at => survey.Geometry.Captures[at].CaptureId == captureId);
    }
}
