using Hillrow.Intake;
using Hillrow.Numerics;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class DecisionsTomlTests : IDisposable
{
    private readonly ScratchEstate scratch = new();

    public void Dispose() => scratch.Dispose();

    [Fact]
    public void Write_AnyText_ReadsBackTheSame()
    {
        string path = Path.Combine(scratch.Folder, DecisionsToml.FileName);
        CaptureDecision[] decisions =
        [
            new("card-1/a \"b\"\\c.tif", DecisionKind.Keep, "línea\tuna\nó dos # no comment"),
            new("0012", DecisionKind.LeaveOut, ""),
        ];
        DecisionsToml.Write(path, decisions);
        Assert.Equal(decisions, DecisionsToml.Read(path));
        DecisionsToml.Write(path, []);
        Assert.False(File.Exists(path));
        Assert.Empty(DecisionsToml.Read(path));
    }

    [Theory]
    [InlineData("captures = 3", "[[captures]]")]
    [InlineData("[[captures]]\ncapture = \"a\"\ndecision = \"kep\"", "decision of entry 1 must be")]
    [InlineData("[[captures]]\ndecision = \"keep\"\nwhy = 1", "entry 1 does not know \"why\"; entry 1 does not name")]
    [InlineData("[[captures", "is not valid TOML")]
    public void Read_Faulty_TellsAllInOneLine(string text, string words)
    {
        string path = scratch.File(DecisionsToml.FileName, text);
        InputProblemException problem = Assert.Throws<InputProblemException>(() => DecisionsToml.Read(path));
        Assert.Contains(words, problem.Message, StringComparison.Ordinal);
        Assert.DoesNotContain('\n', problem.Message);
    }

    [Fact]
    public void Run_ClippedCapture_LeftOutWithReasonUntilKeptByHand()
    {
        SurveyFolder survey = AddFlight();
        IntakeResult first = RunIntake(out RunSummary summary);
        Assert.Equal(StepEnd.Done, summary.Steps[0].End);
        Assert.Equal(["f05-red.tif"], FilesOf(first, CaptureRole.LeftOut));
        Assert.Contains(
            Records().SelectMany(record => record.Warnings),
            warning => warning.Code == "capture-left-out" && warning.About.Contains("f05", StringComparison.Ordinal)
        );
        _ = RunIntake(out RunSummary again);
        Assert.Equal(StepEnd.UpToDate, again.Steps[0].End);

        CaptureDecisions.Take(
            survey,
            first,
            new SaidOfCaptures
            {
                Keep = ["f05-red"],
                LeaveOut = ["f07-red"],
                Because = "seen on the hill",
            }
        );
        IntakeResult decided = RunIntake(out RunSummary third);
        Assert.Equal(StepEnd.Done, third.Steps[0].End);
        Assert.Equal(["f07-red.tif"], FilesOf(decided, CaptureRole.LeftOut));
        Assert.Contains(decided.Captures, one => one.Reason.Contains("seen on the hill", StringComparison.Ordinal));

        CaptureDecisions.Take(survey, first, new SaidOfCaptures { AsFound = ["f05-red", "f07-red"] });
        Assert.False(File.Exists(survey.DecisionsFile));
        Assert.Equal(["f05-red.tif"], FilesOf(RunIntake(out _), CaptureRole.LeftOut));
    }

    private static string[] FilesOf(IntakeResult intake, CaptureRole role) =>
        [.. intake.OfRole(role).Select(capture => Path.GetFileName(capture.Frames[0].File))];

    private IReadOnlyList<StepRecord> Records() =>
        new RunEngine(scratch.Estate, ProgramIdentity.Current(), 1, new SilentProgress()).Records();

    private IntakeResult RunIntake(out RunSummary summary)
    {
        RunEngine engine = new(scratch.Estate, ProgramIdentity.Current(), 1, new SilentProgress());
        RunStep step = RunOrder.Of(scratch.Estate)[0];
        summary = engine.Run([step], TestContext.Current.CancellationToken);
        StepRecord record = engine.Records().Single(one => one.Key == step.Key);
        return StageJson.Read<IntakeResult>(Path.Combine(scratch.Estate.Root, record.Place, "captures.json"));
    }

    /// <summary>A line of twelve captures of a one-band camera; the sixth is clipped all over.</summary>
    private SurveyFolder AddFlight()
    {
        const int columns = 64;
        const int rows = 48;
        SurveyFolder survey = scratch.Estate.AddSurvey("2026-03-14");
        for (int shot = 0; shot < 12; shot++)
        {
            Random noise = new(shot);
            CardSpecimen.Write(
                Path.Combine(survey.Captures, "card-1", FormattableString.Invariant($"f{shot:00}-red.tif")),
                new FrameSpecimen
                {
                    Rows = rows,
                    Columns = columns,
                    Sample = (row, column) => shot == 5 ? 4095 : 800 + noise.Next(400),
                    CaptureId = $"{shot}",
                    Band = "red",
                    Clock = new DateTime(2026, 3, 14, 10, 0, 2 * shot, DateTimeKind.Unspecified),
                    SatelliteUtc = new DateTime(2026, 3, 14, 15, 0, 2 * shot, DateTimeKind.Unspecified),
                    LatitudeDegrees = -12.5 + (0.0001 * shot),
                    LongitudeDegrees = -75.2,
                    HeightMetres = 1500,
                    ExposureSeconds = 0.001,
                    Gain = 1,
                    AttitudeDegrees = (0, 0, 0),
                }
            );
        }

        File.WriteAllText(
            Path.Combine(scratch.Estate.CamerasFolder, "own.toml"),
            $"""
            name = "Invented one"
            referenceBand = "red"
            shortestTriggerIntervalSeconds = 1.0

            {CardSpecimen.MetadataMap}

            [[bands]]
            name = "red"
            centreNanometres = 668.0
            widthNanometres = 20.0
            [bands.sensor]
            columns = {columns}
            rows = {rows}
            pixelPitchMicrometres = 3.45
            bitDepth = 12
            [bands.lens]
            focalMillimetres = 5.5
            principalPointPixels = [32.0, 24.0]
            """
        );
        File.WriteAllText(survey.SettingsFile, SurveyToml.Write(new SurveySettings("cameras/own.toml")));
        return survey;
    }
}
