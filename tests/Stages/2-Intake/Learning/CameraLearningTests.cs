using Hillrow.Imaging;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Intake.Tests;

/// <summary>Learning must be right or say that it is unsure, for cameras that nobody has seen.</summary>
public sealed class CameraLearningTests
{
    private const int Captures = 14;

    [Theory]
    [Trait("Pace", "long")]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void Run_InventedDialects_RightOrUnsure(int round)
    {
        const int dialects = 40;
        List<string> wrong = [];
        int sure = 0;
        int asked = 0;
        SortedDictionary<string, int> open = new(StringComparer.Ordinal);
        for (int seed = round * 1000; seed < (round * 1000) + dialects; seed++)
        {
            using TestFolder folder = new();
            InventedDialect dialect = new(seed);
            IReadOnlyList<FrameTruth> truths = dialect.Write(folder, Captures);
            LearnedCamera learned = CameraLearning.Run(
                folder.Path,
                LearningAnswers.None,
                TestContext.Current.CancellationToken
            );
            foreach ((string quantity, string? fault) in Faults(folder, dialect, learned, truths))
            {
                asked++;
                bool doubted = learned.Doubts.Any(doubt => Excuses(doubt.About, quantity));
                sure += doubted ? 0 : 1;
                open[quantity] = open.GetValueOrDefault(quantity) + (doubted ? 1 : 0);
                if (fault is not null && !doubted)
                {
                    wrong.Add($"seed {seed} {quantity}: {fault}\n   {dialect}");
                }
            }
        }

        Assert.True(wrong.Count == 0, $"{wrong.Count} of {asked}:\n" + string.Join('\n', wrong.Take(12)));
        Assert.True(sure > 0.6 * asked, $"only {sure} of {asked} sure; open: {string.Join(", ", open)}");
    }

    /// <summary>Only a doubt about the very thing excuses a fault: one about a band's width says nothing of its wavelength.</summary>
    private static bool Excuses(string about, string quantity) =>
        about == quantity
        || (quantity == "longitude" && about == "latitude")
        || (quantity is "captures" && about is "captureId" or "check")
        || (
            quantity is "bands"
            && (
                about is "bandName" or "bandNumber" or "centreWavelength" or "check"
                || (
                    about.StartsWith("band.", StringComparison.Ordinal)
                    && !about.EndsWith(".width", StringComparison.Ordinal)
                )
            )
        );

    /// <summary>Each quantity with what is wrong about it; null when it is right.</summary>
    private static IEnumerable<(string Quantity, string? Fault)> Faults(
        TestFolder folder,
        InventedDialect dialect,
        LearnedCamera learned,
        IReadOnlyList<FrameTruth> truths
    )
    {
        CameraProfile profile = CameraProfile.Parse(learned.Profile.ToToml(), "learned");
        (FrameTruth Truth, FrameMetadata Read)[] frames =
        [
            .. truths.Select(truth =>
            {
                string path = folder.At(truth.File);
                return (truth, profile.Metadata.Evaluate(PropertyBag.ReadPages(path)[truth.Page], path));
            }),
        ];
        string? Compare(
            Func<FrameTruth, double> wanted,
            Func<FrameMetadata, double?> read,
            double relative,
            double absolute
        ) =>
            frames
                .Select(frame => (Wanted: wanted(frame.Truth), Read: read(frame.Read)))
                .Where(pair =>
                    pair.Read is not { } value
                    || !(Math.Abs(value - pair.Wanted) <= absolute + (relative * Math.Abs(pair.Wanted)))
                )
                .Select(pair => $"wanted {pair.Wanted}, read {pair.Read}")
                .FirstOrDefault();
        yield return ("latitude", Compare(t => t.Latitude, m => m.Latitude?.Degrees, 0, 1e-7));
        yield return ("longitude", Compare(t => t.Longitude, m => m.Longitude?.Degrees, 0, 1e-7));
        yield return ("height", Compare(t => t.Height, m => m.HeightMetres, 0, 0.01));
        yield return (
            "yaw",
            Compare(
                t => 0,
                m => Math.IEEERemainder((m.Yaw?.Degrees ?? 1e3) - frames.First(f => f.Read == m).Truth.Yaw, 360),
                0,
                0.01
            )
        );
        bool noAttitude = learned.Doubts.Any(doubt => doubt.About == "yaw");
        if (!noAttitude)
        {
            yield return ("pitch", Compare(t => t.Pitch, m => m.Pitch?.Degrees, 0, 0.01));
            yield return ("roll", Compare(t => t.Roll, m => m.Roll?.Degrees, 0, 0.01));
        }

        yield return ("exposure", Compare(t => t.ExposureSeconds, m => m.ExposureSeconds, 1e-3, 2e-8));
        yield return ("gain", Compare(t => t.Gain, m => m.Gain, 1e-3, 0));
        yield return (
            "time",
            Compare(t => 0, m => (m.Time?.Clock - frames.First(f => f.Read == m).Truth.Clock)?.TotalSeconds, 0, 0.002)
        );
        yield return ("irradiance", Light(dialect, profile, frames));
        yield return (
            "bits",
            profile.Bands[0].Sensor.BitDepth == dialect.Bits ? null : $"{profile.Bands[0].Sensor.BitDepth}"
        );
        yield return ("captures", Groups(folder, profile, truths));
        yield return ("bands", Wavelengths(folder, dialect, profile, truths));
    }

    private static string? Light(
        InventedDialect dialect,
        CameraProfile profile,
        (FrameTruth Truth, FrameMetadata Read)[] frames
    )
    {
        foreach ((FrameTruth truth, FrameMetadata read) in frames)
        {
            if (read.Irradiances is not { } values)
            {
                return "not read";
            }

            if ((read.IrradianceUnit == IrradianceUnit.Relative) != (dialect.LightUnit.Length == 0))
            {
                return $"unit {read.IrradianceUnit}, wanted {dialect.LightUnit}";
            }

            int at = profile
                .Bands.ToList()
                .FindIndex(band => Math.Abs(band.CentreNanometres - dialect.Nanometres(truth.Band)) < 1);
            double value =
                values.Count == 1 ? values[0]
                : at < 0 ? 0
                : values[at];
            double wanted = truth.Irradiance * (dialect.LightUnit.Length == 0 ? 3000 : 1);
            if (Math.Abs(value - wanted) > 1e-3 * wanted)
            {
                return $"wanted {wanted}, read {value}";
            }
        }

        return null;
    }

    private static string? Groups(TestFolder folder, CameraProfile profile, IReadOnlyList<FrameTruth> truths)
    {
        IntakeResult result = IntakeStage.Run(IntakeInput.OfFolder(folder.Path, profile), IntakeSettings.Default);
        string[] wanted =
        [
            .. truths
                .GroupBy(truth => truth.Capture)
                .Select(group =>
                    string.Join(' ', group.Select(one => $"{one.File}#{one.Page}").Order(StringComparer.Ordinal))
                )
                .Order(StringComparer.Ordinal),
        ];
        string[] read =
        [
            .. result
                .Captures.Select(one =>
                    string.Join(
                        ' ',
                        one.Capture.Frames.Select(frame => $"{frame.File}#{frame.Page}").Order(StringComparer.Ordinal)
                    )
                )
                .Order(StringComparer.Ordinal),
        ];
        return wanted.SequenceEqual(read)
            ? null
            : $"{read.Length} captures, first {read.FirstOrDefault()}, wanted {wanted[0]}";
    }

    private static string? Wavelengths(
        TestFolder folder,
        InventedDialect dialect,
        CameraProfile profile,
        IReadOnlyList<FrameTruth> truths
    )
    {
        IntakeResult result = IntakeStage.Run(IntakeInput.OfFolder(folder.Path, profile), IntakeSettings.Default);
        foreach (IntakeCapture capture in result.Captures)
        {
            foreach (BandFrame frame in capture.Capture.Frames)
            {
                FrameTruth truth = truths.First(one => one.File == frame.File && one.Page == frame.Page);
                double read = profile.Band(frame.Band).CentreNanometres;
                if (Math.Abs(read - dialect.Nanometres(truth.Band)) > 1)
                {
                    return $"{frame.File}#{frame.Page} taken as {read}, is {dialect.Nanometres(truth.Band)}";
                }
            }
        }

        return null;
    }
}
