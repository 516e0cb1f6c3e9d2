using Hillrow.Numerics;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Intake.Tests;

public sealed class CaptureExclusionsTests : IDisposable
{
    private readonly TestFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public void Judge_CleanFlight_LeavesNothingOut()
    {
        new CheckFlight().Write(folder);
        (IntakeResult intake, IReadOnlyList<CaptureExclusion> found) = Judge();
        Assert.Empty(found);
        Assert.Equal(intake.Captures, CaptureExclusions.Apply(intake, found).Captures);
    }

    [Fact]
    public void Judge_BlurredClippedMisplaced_LeftOutWithReason()
    {
        Faulty().Write(folder);
        (IntakeResult intake, IReadOnlyList<CaptureExclusion> found) = Judge();
        Assert.Equal(
            ["s-1-04-red.tif", "s-2-06-red.tif", "s-4-05-red.tif"],
            found.Select(one => one.File).Order(StringComparer.Ordinal)
        );
        Assert.All(found, one => Assert.True(one is { LeftOut: true, Reason.Length: > 10, Decision: null }));
        Assert.Equal([FrameFault.Blurred], Of(found, "s-1-04").Faults);
        Assert.Contains(FrameFault.Saturated, Of(found, "s-2-06").Faults);
        Assert.Equal([FrameFault.PositionOutlier], Of(found, "s-4-05").Faults);
        IntakeResult applied = CaptureExclusions.Apply(intake, found);
        Assert.Equal(3, applied.OfRole(CaptureRole.LeftOut).Count);
        Assert.Equal(intake.OfRole(CaptureRole.Survey).Count - 3, applied.OfRole(CaptureRole.Survey).Count);
        Assert.Equal(intake.Captures.Count, applied.Captures.Count);
    }

    [Fact]
    public void Judge_SomeClippedPixels_StaysInTheMap()
    {
        // Less than a quarter of the pixels: each is left out by itself when reflectance is made.
        new CheckFlight { Light = (line, shot) => (line, shot) == (1, 3) ? 4.8 : 1 }.Write(folder);
        (_, IReadOnlyList<CaptureExclusion> found) = Judge();
        Assert.Empty(found);
        Assert.Contains(CheckFlight.Check(folder).Findings, finding => finding.Fault == FrameFault.Saturated);
    }

    [Fact]
    public void Decisions_KeepAndLeaveOut_StandAboveWhatIsFoundInRunAndCheck()
    {
        Faulty().Write(folder);
        CaptureDecision[] decisions =
        [
            new("s-1-04-nir.tif", DecisionKind.Keep, "the only one over the gully"),
            new("s-3-03-red.tif", DecisionKind.LeaveOut, "a bird"),
            new("p-0-red.tif", DecisionKind.Keep, ""),
            new("p-1-red.tif", DecisionKind.LeaveOut, "shadow"),
            new("not there", DecisionKind.Keep, ""),
        ];
        (IntakeResult intake, IReadOnlyList<CaptureExclusion> found) = Judge(decisions);
        IntakeResult applied = CaptureExclusions.Apply(intake, found);
        CaptureRole RoleOf(string file) =>
            applied.Captures.Single(one => one.Capture.Frames.Any(frame => frame.File == file)).Role;
        Assert.Equal(CaptureRole.Survey, RoleOf("s-1-04-nir.tif"));
        Assert.Equal(CaptureRole.LeftOut, RoleOf("s-3-03-nir.tif"));
        Assert.Equal(CaptureRole.LeftOut, RoleOf("s-2-06-nir.tif"));
        Assert.Equal(CaptureRole.Panel, RoleOf("p-0-nir.tif"));
        Assert.Equal(CaptureRole.LeftOut, RoleOf("p-1-nir.tif"));
        Assert.StartsWith(
            "kept by hand: the only one over the gully (",
            Of(found, "s-1-04").ToString(),
            StringComparison.Ordinal
        );
        FieldCheckResult check = CheckFlight.Check(folder, decisions: decisions);
        Assert.Equal(found.Select(one => one.ToString()), check.Exclusions.Select(one => one.ToString()));
        Assert.Equal(applied.OfRole(CaptureRole.Survey).Count, check.SharpCaptures);
        Assert.False(check.Findings.Single(finding => finding.Fault == FrameFault.Blurred).Excluded);
        Assert.Equal(CheckFlight.Check(folder).SharpCaptures, check.SharpCaptures);
    }

    [Fact]
    public void FindOrTell_NamesInEveryForm_FindsOneOrTells()
    {
        new CheckFlight { Name = (line, shot, band) => $"{band}/{line}-{shot:00}.tif" }.Write(folder);
        (IntakeResult intake, _) = Judge();
        string id = CaptureNames.FindOrTell(intake.Captures, "--keep", "red/2-03.tif").Id;
        Assert.Equal(id, CaptureNames.FindOrTell(intake.Captures, "--keep", "2-03").Id);
        Assert.Equal(id, CaptureNames.FindOrTell(intake.Captures, "--keep", id).Id);
        Assert.Equal(id, CaptureNames.FindOrTell(intake.Captures, "--keep", id.TrimStart('0')).Id);
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            CaptureNames.FindOrTell(intake.Captures, "--keep", "9-99")
        );
        Assert.Contains("Name a file of it", problem.Message, StringComparison.Ordinal);
    }

    private static CheckFlight Faulty() =>
        new()
        {
            Blurred = (line, shot) => (line, shot) == (1, 4),
            Light = (line, shot) => (line, shot) == (2, 6) ? 12 : 1,
            ShiftNorth = (line, shot) => (line, shot) == (4, 5) ? 60 : 0,
        };

    private (IntakeResult, IReadOnlyList<CaptureExclusion>) Judge(IReadOnlyList<CaptureDecision>? decisions = null)
    {
        IntakeResult intake = IntakeStage.Run(
            IntakeInput.OfFolder(folder.Path, CheckFlight.Profile),
            IntakeSettings.Default
        );
        return (
            intake,
            CaptureExclusions.Judge(
                intake,
                folder.Path,
                CheckFlight.Profile,
                new FieldCheckSettings { Threads = 2 },
                decisions ?? []
            )
        );
    }

    private static CaptureExclusion Of(IReadOnlyList<CaptureExclusion> list, string file) =>
        list.Single(one => one.File.StartsWith(file, StringComparison.Ordinal));
}
