using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class StageJsonTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-json-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void SurveyGeometry_WrittenAndRead_ProjectsToTheSameBits()
    {
        Random random = new(20260314);
        SurveyGeometry geometry = Geometry(random);
        SurveyGeometry back = ThereAndBack(geometry);
        Assert.Equal(geometry.Frame.Origin, back.Frame.Origin);
        Assert.Equal(geometry.Frame.LocalFromGeocentric, back.Frame.LocalFromGeocentric);
        Assert.Equal(geometry.Captures, back.Captures);
        for (int trial = 0; trial < 500; trial++)
        {
            int band = random.Next(geometry.Bands.Count);
            int capture = random.Next(geometry.Captures.Count);
            Vector3D point = new(
                random.NextDouble() * 200 - 100,
                random.NextDouble() * 200 - 100,
                random.NextDouble() * 20
            );
            Assert.Equal(Pixel(geometry, band, capture, point), Pixel(back, band, capture, point));
        }
    }

    [Fact]
    public void Capture_WithEverythingAndNothingRecorded_ComesBackEqual()
    {
        Capture full = new()
        {
            Id = "0001",
            TimeUtc = new DateTimeOffset(2026, 3, 14, 16, 30, 1, 123, TimeSpan.Zero).AddTicks(4567),
            Sortie = "a",
            Position = new CapturePosition(
                Angle.FromDegrees(-7.123456789012),
                Angle.FromDegrees(-75.3),
                1234.5678901234567,
                VerticalReference.Ellipsoid,
                0.1
            ),
            Attitude = Attitude.FromDegrees(359.999, -0.1, 1e-17),
            Frames =
            [
                new BandFrame
                {
                    Band = "nir",
                    File = "card-1/a b.tif",
                    Page = 2,
                    ExposureSeconds = 1.0 / 3,
                    Irradiance = double.NaN,
                },
            ],
        };
        Capture empty = new() { Id = "0002", Frames = [] };
        Capture[] back = ThereAndBack(new[] { full, empty });
        Assert.Equal(full.Frames, back[0].Frames);
        Assert.Equal(full with { Frames = [] }, back[0] with { Frames = [] });
        Assert.Equal(empty with { Frames = [] }, back[1] with { Frames = [] });
    }

    [Theory]
    [InlineData("")]
    [InlineData("null")]
    [InlineData("{\"frame\":")]
    [InlineData("{\"frame\":3}")]
    [InlineData(
        "{\"frame\":{},\"bands\":[{\"band\":\"red\",\"lens\":{\"rows\":3,\"columns\":4},\"mount\":null}],\"captures\":[]}"
    )]
    public void Read_DamagedFile_NamesItAndTheRemedy(string text)
    {
        string file = Path.Combine(folder, "damaged.json");
        File.WriteAllText(file, text);
        InputProblemException problem = Assert.Throws<InputProblemException>(object? () =>
            StageJson.Read<SurveyGeometry>(file)
        );
        Assert.Equal(file, problem.Where);
        Assert.Contains("run again", problem.Remedy, StringComparison.Ordinal);
    }

    private static SurveyGeometry Geometry(Random random)
    {
        BrownConradyLens plain = new(
            1152,
            1536,
            new BrownConradyValues(1600.1, 1600.2, new PixelPoint(760.3, 577.7), -0.1, 0.08, 1e-4, -2e-4, -0.02)
        );
        double[] columns = [.. Enumerable.Range(0, 12).Select(_ => random.NextDouble() - 0.5)];
        double[] rows = [.. Enumerable.Range(0, 12).Select(_ => random.NextDouble() - 0.5)];
        ResidualGridLens overlaid = new(plain, new ResidualGrid(3, 4, columns, rows, GridInterpolation.Bicubic));
        return new SurveyGeometry(
            new LocalFrame(
                new GeodeticPosition(Angle.FromDegrees(-7.25 + 1e-9), Angle.FromDegrees(-75.3), 1234.567890123456)
            ),
            [
                new BandGeometry("red", plain, CameraMount.Reference),
                new BandGeometry(
                    "nir",
                    overlaid,
                    CameraMount.FromRotationVector(new Vector3D(0.001, -0.002, 0.0031), new Vector3D(0.02, 0, -0.001))
                ),
            ],
            [
                .. Enumerable
                    .Range(0, 7)
                    .Select(number => new PlacedCapture(
                        $"{number:0000}",
                        CameraPose.FromAttitude(
                            new Vector3D(random.NextDouble() * 50, random.NextDouble() * 50, 80 + random.NextDouble()),
                            Attitude.FromDegrees(random.NextDouble() * 360, random.NextDouble(), random.NextDouble())
                        ),
                        random.NextDouble(),
                        random.NextDouble() / 1000,
                        number != 3,
                        number == 3 ? "only 4 ties" : ""
                    )),
            ]
        );
    }

    private static PixelPoint? Pixel(SurveyGeometry geometry, int band, int capture, Vector3D point)
    {
        SightedFrame frame = geometry.FrameOf(geometry.Captures[capture], geometry.Bands[band]);
        return frame.Lens.TryProject(frame.Pose.ToCamera(point), out PixelPoint pixel) ? pixel : null;
    }

    private T ThereAndBack<T>(T value)
        where T : notnull
    {
        string file = Path.Combine(folder, "there.json");
        StageJson.Write(file, value);
        return StageJson.Read<T>(file);
    }
}
