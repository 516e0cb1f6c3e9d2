using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

/// <summary>A camera learned from a dialect's files must read them as the dialect's own profile does, or say it is unsure.</summary>
public sealed class DialectLearningTests : IDisposable
{
    private const int Columns = 12;
    private const int Rows = 8;
    private const int Captures = 12;

    private readonly string folder = Directory.CreateTempSubdirectory("learn").FullName;

    public static TheoryData<string> Names => [.. CardDialect.All.Select(dialect => dialect.Name)];

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Theory]
    [MemberData(nameof(Names))]
    public void Run_AnyDialect_RightOrUnsure(string name)
    {
        CardDialect dialect = CardDialect.Named(name);
        List<string> files = [];
        for (int number = 1; number <= Captures; number++)
        {
            dialect.Write(
                folder,
                Invented(number),
                new CardCamera("HR000003", [203, 202.5, 201, 204, 203.25], Columns, Rows, 1.5)
            );
            files.AddRange(dialect.FilesOf(number));
        }

        LearnedCamera learned = CameraLearning.Run(folder, LearningAnswers.None, TestContext.Current.CancellationToken);
        Assert.Equal(5, learned.Profile.Bands.Count);
        Assert.Equal(Captures, learned.Check.Captures);
        Assert.Equal(Captures, learned.Check.Complete);
        Assert.Equal(12, learned.Profile.Bands[0].Sensor.BitDepth);
        Assert.Equal(dialect.Placement, learned.Profile.Bands[0].Sensor.Placement);
        bool Unsure(string about) => learned.Doubts.Any(doubt => doubt.About == about);
        foreach (string file in files.Distinct())
        {
            string path = Path.Combine(folder, file);
            foreach (PropertyBag bag in PropertyBag.ReadPages(path))
            {
                FrameMetadata wanted = dialect.Map.Evaluate(bag, path);
                FrameMetadata read = learned.Profile.Metadata.Evaluate(bag, path);
                void Same(string about, double? one, double? other, double within)
                {
                    if (one is not null && !Unsure(about))
                    {
                        Assert.True(
                            other is { } value && Math.Abs(value - one.Value) <= within,
                            $"{about} of {file}: {other}, wanted {one}"
                        );
                    }
                }

                Same("latitude", wanted.Latitude?.Degrees, read.Latitude?.Degrees, 1e-9);
                Same("latitude", wanted.Longitude?.Degrees, read.Longitude?.Degrees, 1e-9);
                Same("height", wanted.HeightMetres, read.HeightMetres, 1e-6);
                Same("yaw", wanted.Yaw?.Degrees, read.Yaw?.Degrees, 1e-6);
                Same("pitch", wanted.Pitch?.Degrees, read.Pitch?.Degrees, 1e-6);
                Same("roll", wanted.Roll?.Degrees, read.Roll?.Degrees, 1e-6);
                Same("exposure", wanted.ExposureSeconds, read.ExposureSeconds, 1e-9);
                Same("gain", wanted.Gain, read.Gain, 1e-6);
                Same("irradiance", wanted.Irradiances?[0], read.Irradiances?[0], 1e-9);
                Same("centreWavelength", wanted.CentreNanometres, read.CentreNanometres, 1e-6);
                Same(
                    "clock",
                    wanted.Time?.TimeUtc?.ToUnixTimeMilliseconds(),
                    read.Time?.TimeUtc?.ToUnixTimeMilliseconds(),
                    1
                );
                if (!Unsure("panelMarker"))
                {
                    Assert.Equal(wanted.PanelMarker, read.PanelMarker);
                }

                if (!Unsure("heightReference"))
                {
                    Assert.Equal(wanted.HeightReference, read.HeightReference);
                }
            }
        }

        string[] open = [.. learned.Doubts.Select(doubt => doubt.About)];
        Assert.DoesNotContain("check", open);
        // A list of two numbers below 90 may be either way round.
        Assert.Equal(name == "cerro", open.Contains("latitude"));
        Assert.DoesNotContain("exposure", open);
        Assert.DoesNotContain("bandName", open);
    }

    private static RehearsalCapture Invented(int number)
    {
        SplittableRandom draw = new((ulong)number);
        bool back = number > Captures / 2;
        double along = back ? Captures - number : number;
        return new RehearsalCapture(
            number,
            number == 1,
            new DateTimeOffset(2026, 4, 12, 14, 33, 7, 250, TimeSpan.Zero).AddSeconds(1.7 * number),
            [
                .. Enumerable
                    .Range(0, 5)
                    .Select(_ =>
                        Enumerable.Range(0, Columns * Rows).Select(_ => (ushort)(draw.NextInt32(4096) << 4)).ToArray()
                    ),
            ],
            [new(1 / 2000.0, 1), new(1 / 1587.4, 1), new(1 / 1000.0, 2), new(1 / 630.0, 1), new(1 / 400.0, 4)],
            GeodeticPosition.FromDegrees(
                -14.237 + (0.0002 * along),
                -57.486 + (back ? 0.0002 : 0),
                1244.318 + draw.NextDouble()
            ),
            new RigPose(
                new Vector3D(12, -5, 64),
                (back ? 180 : 0) + draw.NextDouble(),
                8 * (draw.NextDouble() - 0.5),
                8 * (draw.NextDouble() - 0.5)
            ),
            [
                .. new[] { 1.1234567, 1.2345678, 1.1456789, 1.0567891, 0.8678912 }.Select(value =>
                    value * (1 + (0.01 * number))
                ),
            ],
            new CaptureTruth(number, 21, default, default, [], 1, 1, [], 0.03, null, [])
        );
    }
}
