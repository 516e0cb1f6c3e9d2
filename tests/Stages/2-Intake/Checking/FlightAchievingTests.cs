using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Intake.Tests;

/// <summary>
/// The check's flight: 7 lines 12 m apart, captures 9 m apart, frames of 48 m × 36 m: overlap 75 % both ways by
/// construction, pixels 0.75 m.
/// </summary>
public sealed class FlightAchievingTests : IDisposable
{
    private readonly TestFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public void Run_CleanFlight_TellsLinesOverlapAndPixels()
    {
        new CheckFlight().Write(folder);
        AchievedFlight flight = CheckFlight.Check(folder).Achieved;
        Assert.Equal(7, flight.Lines.Count);
        Assert.All(
            flight.Lines,
            line =>
            {
                Assert.Equal(14, line.Captures);
                Assert.InRange(line.LengthMetres, 116.5, 117.5);
                Assert.InRange(line.ForwardOverlap, 0.745, 0.755);
                Assert.InRange(line.SideOverlap!.Value, 0.745, 0.755);
                Assert.InRange(Math.Abs(Math.IEEERemainder(line.AzimuthDegrees, 180)), 0, 1);
            }
        );
        Assert.InRange(flight.Pixels!.Value.MiddleMetres, 0.745, 0.755);
        Assert.Null(flight.Plan);
    }

    [Fact]
    public void Run_LinesRemoved_SideOverlapFallsBesideTheGapOnly()
    {
        new CheckFlight { Keep = (line, _) => line is not (2 or 3) }.Write(folder);
        AchievedFlight flight = CheckFlight.Check(folder).Achieved;
        Assert.Equal(
            [0.75, 0.25, 0.25, 0.75, 0.75],
            flight.Lines.Select(line => Math.Round(line.SideOverlap!.Value, 2))
        );
    }

    [Fact]
    public void Run_AgainstItsPlan_TellsLinesAndCapturesFlown()
    {
        new CheckFlight { Keep = (line, shot) => line != 4 && (line, shot) is not (1, 5) }.Write(folder);
        WantedFlight plan = Plan(side: 0.75);
        FieldCheckResult check = CheckFlight.Check(folder, plan: plan);
        AchievedPlan achieved = check.Achieved.Plan!;
        Assert.Equal(98, achieved.PlannedCaptures);
        Assert.Equal(98 - 14 - 1, achieved.AchievedCaptures);
        Assert.Equal(6, achieved.LinesFlown);
        PlannedLine missing = Assert.Single(achieved.Lines, line => !line.Flown);
        Assert.Equal((1, 5, 0), (missing.Sortie, missing.Line, missing.Achieved));
        Assert.Contains(
            check.Cautions,
            line => line == "1 of 7 planned lines are not whole (sortie.line, captures): 1.5 0/14"
        );
        Assert.DoesNotContain(check.Cautions, line => line.StartsWith("forward overlap", StringComparison.Ordinal));
    }

    [Fact]
    public void Run_LinesFartherApartThanAsked_TellsTheSideOverlap()
    {
        new CheckFlight { Keep = (line, _) => line % 2 == 0 }.Write(folder);
        FieldCheckResult check = CheckFlight.Check(folder, plan: Plan(side: 0.75) with { PixelMetres = 0.5 });
        Assert.Contains("side overlap is 50 %, the plan asked 75 %", check.Cautions);
        Assert.Contains("pixels are 75.0 cm, the plan asked 50.0 cm", check.Cautions);
    }

    private static WantedFlight Plan(double side) =>
        new(
            "made",
            0.75,
            side,
            0.75,
            [
                .. from line in Enumerable.Range(0, 7)
                from shot in Enumerable.Range(0, 14)
                // Autopilots stay within a metre or two of the plan.
                select new WantedCapture(1, line + 1, new LocalPlace((line * 12) + 1.5, (shot * 9) - 1)),
            ]
        );
}
