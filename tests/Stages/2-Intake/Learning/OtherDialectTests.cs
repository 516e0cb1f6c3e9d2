using System.Globalization;
using Hillrow.Imaging;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Intake.Tests;

/// <summary>
/// A second, independently written generator of cameras, with other words and habits than <see cref="InventedDialect"/>:
/// learning may not be fitted to either.
/// </summary>
public sealed class OtherDialectTests
{
    /// <summary>The least that any of the written forms keeps.</summary>
    private const double Share = 2e-6;

    private const int Dialects = 40;

    [Theory]
    [Trait("Pace", "long")]
    [InlineData(1)]
    [InlineData(2001)]
    public void Run_OtherDialects_RightOrUnsureAndMostlySure(int first)
    {
        List<string> wrong = [];
        int sure = 0;
        int asked = 0;
        for (int seed = first; seed < first + Dialects; seed++)
        {
            using TestFolder folder = new();
            OtherDialect dialect = new(seed);
            List<OtherFrameTruth> truths = dialect.Write(folder.Path, 8);
            LearnedCamera camera = CameraLearning.Run(folder.Path, LearningAnswers.None);
            foreach ((string quantity, string? fault) in Judged(camera, truths, folder))
            {
                bool doubted = camera.Doubts.Any(doubt =>
                    doubt.About == quantity || (quantity == "longitude" && doubt.About == "latitude")
                );
                asked++;
                sure += doubted ? 0 : 1;
                if (fault is not null && !doubted)
                {
                    wrong.Add($"seed {seed}: {fault}\n   {dialect}");
                }
            }
        }

        Assert.True(wrong.Count == 0, $"{wrong.Count} of {asked}, {sure} sure:\n" + string.Join('\n', wrong.Take(12)));
        Assert.True(sure > 0.6 * asked, $"only {sure} of {asked} sure");
    }

    [Theory]
    [Trait("Pace", "long")]
    [InlineData(1)]
    [InlineData(3001)]
    [InlineData(70_001)]
    public void Run_FreshDialects_RightOrUnsureAndMostlySure(int first)
    {
        List<string> wrong = [];
        int sure = 0;
        int asked = 0;
        for (int seed = first; seed < first + Dialects; seed++)
        {
            using TestFolder folder = new();
            FreshDialect dialect = new(seed);
            List<OtherFrameTruth> truths = dialect.Write(folder.Path, 10);
            LearnedCamera camera = CameraLearning.Run(folder.Path, LearningAnswers.None);
            IEnumerable<(string Quantity, string? Fault)> judged =
            [
                .. Judged(camera, truths, folder),
                (
                    "bits",
                    camera.Profile.Bands[0].Sensor.BitDepth == dialect.Bits
                        ? null
                        : $"{camera.Profile.Bands[0].Sensor.BitDepth} bits, not {dialect.Bits}"
                ),
                (
                    "captures",
                    (camera.Check.Captures, camera.Check.Complete) == (10, 10)
                        ? null
                        : $"{camera.Check.Captures} captures, {camera.Check.Complete} whole, not 10"
                ),
            ];
            foreach ((string quantity, string? fault) in judged)
            {
                bool doubted = camera.Doubts.Any(doubt =>
                    doubt.About == quantity
                    || (quantity == "longitude" && doubt.About == "latitude")
                    || (quantity == "captures" && doubt.About == "check")
                );
                asked++;
                sure += doubted ? 0 : 1;
                if (fault is not null && !doubted)
                {
                    wrong.Add($"seed {seed}: {fault}\n   {dialect}");
                }
            }
        }

        Assert.True(wrong.Count == 0, $"{wrong.Count} of {asked}, {sure} sure:\n" + string.Join('\n', wrong.Take(12)));
        Assert.True(sure > 0.6 * asked, $"only {sure} of {asked} sure");
    }

    private static IEnumerable<(string Quantity, string? Fault)> Judged(
        LearnedCamera camera,
        List<OtherFrameTruth> truths,
        TestFolder folder
    )
    {
        CameraProfile profile = CameraProfile.Parse(camera.Profile.ToToml(), "learned");
        (OtherFrameTruth Truth, FrameMetadata Read)[] frames =
        [
            .. truths.Select(truth =>
                (
                    truth,
                    profile.Metadata.Evaluate(
                        PropertyBag.ReadPages(folder.At(truth.File))[truth.Page],
                        folder.At(truth.File)
                    )
                )
            ),
        ];
        (string Quantity, Func<FrameMetadata, int, double?> Read)[] quantities =
        [
            ("latitude", (read, _) => read.Latitude?.Degrees),
            ("longitude", (read, _) => read.Longitude?.Degrees),
            ("height", (read, _) => read.HeightMetres),
            ("yaw", (read, _) => read.Yaw?.Degrees),
            ("pitch", (read, _) => read.Pitch?.Degrees),
            ("roll", (read, _) => read.Roll?.Degrees),
            ("exposure", (read, _) => read.ExposureSeconds),
            ("gain", (read, _) => read.Gain),
            (
                "irradiance",
                (read, band) =>
                    read.Irradiances is { Count: > 0 } lights
                        ? lights[lights.Count > 1 ? Math.Min(band, lights.Count - 1) : 0]
                        : null
            ),
        ];
        foreach ((string quantity, Func<FrameMetadata, int, double?> value) in quantities)
        {
            string? fault = null;
            foreach ((OtherFrameTruth truth, FrameMetadata read) in frames)
            {
                double expected = truth.Values[quantity];
                if (
                    value(read, truth.Band) is not { } number
                    || !(
                        Math.Abs(quantity == "yaw" ? Math.IEEERemainder(number - expected, 360) : number - expected)
                        <= (Share * Math.Abs(expected)) + 2e-7
                    )
                )
                {
                    fault ??= string.Create(
                        CultureInfo.InvariantCulture,
                        $"{quantity} {value(read, truth.Band)}, not {expected} ({truth.File})"
                    );
                }
            }

            yield return (quantity, fault);
        }
    }
}
